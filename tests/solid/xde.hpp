#pragma once
// A STEP file as the kernel's XDE reader hands it to a program: names, unit and validation properties. The room under
// test writes without that layer.
#include <Interface_Static.hxx>
#include <STEPCAFControl_Reader.hxx>
#include <TDF_LabelSequence.hxx>
#include <TDataStd_Name.hxx>
#include <TDocStd_Document.hxx>
#include <TopoDS_Shape.hxx>
#include <XCAFDoc_Area.hxx>
#include <XCAFDoc_Centroid.hxx>
#include <XCAFDoc_DocumentTool.hxx>
#include <XCAFDoc_ShapeTool.hxx>
#include <XCAFDoc_Volume.hxx>
#include <gp_Pnt.hxx>
#include <stdexcept>
#include <string>

namespace xde {

struct Product {
  std::string name;
  double volume = 0, area = 0;
  gp_Pnt centroid;
  TopoDS_Shape shape;
};

/// The one product of the file.
inline Product read(const std::string& path) {
  STEPCAFControl_Reader reader;
  reader.SetNameMode(true);
  reader.SetPropsMode(true);
  if (reader.ReadFile(path.c_str()) != IFSelect_RetDone) throw std::runtime_error("XDE cannot read " + path);
  Handle(TDocStd_Document) document = new TDocStd_Document("BinXCAF");
  if (!reader.Transfer(document)) throw std::runtime_error("XDE cannot transfer " + path);
  TDF_LabelSequence labels;
  XCAFDoc_DocumentTool::ShapeTool(document->Main())->GetFreeShapes(labels);
  if (labels.Length() != 1) throw std::runtime_error("not one product");
  const TDF_Label label = labels.First();
  Product p;
  Handle(TDataStd_Name) name;
  if (label.FindAttribute(TDataStd_Name::GetID(), name)) {
    p.name.resize(static_cast<std::size_t>(name->Get().LengthOfCString()));
    char* data = p.name.data();
    name->Get().ToUTF8CString(data);
  }
  if (!XCAFDoc_Volume::Get(label, p.volume) || !XCAFDoc_Area::Get(label, p.area) ||
      !XCAFDoc_Centroid::Get(label, p.centroid))
    throw std::runtime_error("a validation property is missing");
  p.shape = XCAFDoc_ShapeTool::GetShape(label);
  return p;
}

} // namespace xde
