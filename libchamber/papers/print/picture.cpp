#include "chamber/papers/print/picture.hpp"
#include "chamber/papers/svg.hpp"
#include <algorithm>
#include <librsvg/rsvg.h>
#include <stdexcept>

namespace chamber::papers::print {
namespace {

struct Message {
  GError* error = nullptr;
  ~Message() { g_clear_error(&error); }
  [[noreturn]] void raise(const char* what) const {
    throw std::logic_error(std::string(what) + ": " + (error ? error->message : "no reason given"));
  }
};

} // namespace

Block picture(std::string_view svg, double width, double most_height) {
  const std::string text = on_white(svg);
  Message m;
  const std::shared_ptr<RsvgHandle> handle(
      rsvg_handle_new_from_data(reinterpret_cast<const guint8*>(text.data()), text.size(), &m.error),
      [](RsvgHandle* h) {
        if (h) g_object_unref(h);
      });
  if (!handle) m.raise("papers: a picture cannot be read");
  const double shape = aspect(svg), w = std::min(width, most_height * shape);
  Block out;
  out.height = w / shape;
  out.draw = [handle, w, width, height = out.height](cairo_t* c, double x, double y) {
    Message failure;
    const RsvgRectangle at{x + (width - w) / 2, y, w, height};
    if (!rsvg_handle_render_document(handle.get(), c, &at, &failure.error)) failure.raise("papers: a picture fails");
  };
  return out;
}

} // namespace chamber::papers::print
