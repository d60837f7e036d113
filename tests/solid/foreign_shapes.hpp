#pragma once
// Solids as other programs leave them in STEP files: moved, rotated, in inches, cut into halves, made of splines.
#include "chamber/solid/step_file.hpp"
#include "samples.hpp"
#include "scratch.hpp"
#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Writer.hxx>
#include <gp_Ax1.hxx>
#include <gp_Trsf.hxx>

namespace foreign_shapes {

using namespace chamber;

/// The outline turned; throws where it does not.
inline TopoDS_Solid turned(const std::vector<shapes::NamedSegment>& outline) {
  const solid::Part part{"part", outline, "", ""};
  const auto checked = solid::checked_outline(part);
  if (!checked) throw std::runtime_error(to_text(checked.error()));
  const auto made = solid::revolve(part, *checked);
  if (!made) throw std::runtime_error(to_text(made.error()));
  return made->solid;
}

/// Written by the kernel's plain writer, in millimetres unless told.
inline std::string written(const TopoDS_Shape& shape, const std::string& path, const char* unit = "MM") {
  solid::prepare_step();
  if (!Interface_Static::SetCVal("write.step.unit", unit)) throw std::runtime_error("no such unit");
  STEPControl_Writer writer;
  Message::DefaultMessenger()->ChangePrinters().Clear(); // it reports every file
  if (writer.Transfer(shape, STEPControl_AsIs) != IFSelect_RetDone || writer.Write(path.c_str()) != IFSelect_RetDone)
    throw std::runtime_error("cannot write " + path);
  return path;
}

/// Turned by 77 degrees about (1, 2, 3) and moved by (120, -330, 70) mm.
inline gp_Trsf elsewhere() {
  gp_Trsf turn, move;
  turn.SetRotation(gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(1, 2, 3)), 77 * M_PI / 180);
  move.SetTranslation(gp_Vec(120, -330, 70));
  return move * turn;
}

} // namespace foreign_shapes
