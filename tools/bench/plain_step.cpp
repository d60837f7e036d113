// plain_step (OUTLINE STEP)... | STEP: the yardstick of the whole program's time, what anyone would write to get STEP
// files of turned parts: each outline (see outlines.cpp) revolved and written, nothing checked. With one name alone, a
// box.
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <GC_MakeArcOfCircle.hxx>
#include <STEPControl_Writer.hxx>
#include <fstream>
#include <gp.hxx>
#include <sstream>
#include <string>
#include <vector>

namespace {

gp_Pnt point(double r, double z) {
  return {r, 0, z};
}

TopoDS_Shape revolved(const char* outline) {
  std::ifstream in(outline);
  BRepBuilderAPI_MakeWire wire;
  for (std::string line; std::getline(in, line);) {
    std::istringstream words(line);
    std::vector<double> v;
    for (double x = 0; words >> x;) v.push_back(x);
    const auto a = point(v.at(0), v.at(1)), b = point(v.at(2), v.at(3));
    if (v.size() == 4)
      wire.Add(BRepBuilderAPI_MakeEdge(a, b));
    else
      wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(a, point(v.at(4), v.at(5)), b).Value()));
  }
  return BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(wire.Wire()), gp::OZ()).Shape();
}

bool write(const TopoDS_Shape& shape, const char* path) {
  STEPControl_Writer writer;
  return writer.Transfer(shape, STEPControl_AsIs) == IFSelect_RetDone && writer.Write(path) == IFSelect_RetDone;
}

} // namespace

int main(int argc, char** argv) {
  if (argc == 2) return write(BRepPrimAPI_MakeBox(10, 20, 30).Shape(), argv[1]) ? 0 : 1;
  for (int i = 1; i + 1 < argc; i += 2)
    if (!write(revolved(argv[i]), argv[i + 1])) return 1;
}
