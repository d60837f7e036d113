// The yardstick of the whole-process comparison: what anyone would write to get one box into a STEP file.
#include <BRepPrimAPI_MakeBox.hxx>
#include <STEPControl_Writer.hxx>

int main(int argc, char** argv) {
  if (argc != 2) return 2;
  STEPControl_Writer writer;
  if (writer.Transfer(BRepPrimAPI_MakeBox(10, 20, 30).Shape(), STEPControl_AsIs) != IFSelect_RetDone) return 1;
  return writer.Write(argv[1]) == IFSelect_RetDone ? 0 : 1;
}
