#include "chamber/papers/assets.hpp"

// The assembler takes the files in: no copy of them in another notation, and no time to compile one.
#define CHAMBER_ASSET(name, file)                                                                                      \
  __asm__(".section .rodata\n.global chamber_" #name "_begin\n.global chamber_" #name "_end\n"                         \
          "chamber_" #name "_begin:\n.incbin \"" CHAMBER_PAGE "/" file "\"\nchamber_" #name "_end:\n.byte 0\n"         \
          ".previous\n");                                                                                              \
  extern "C" {                                                                                                         \
  extern const char chamber_##name##_begin[];                                                                          \
  extern const char chamber_##name##_end[];                                                                            \
  }

CHAMBER_ASSET(template, "traveller.mustache")
CHAMBER_ASSET(style, "page.css")
CHAMBER_ASSET(script, "page.js")
CHAMBER_ASSET(viewer, "viewer.bundle.js")

namespace chamber::papers {

std::string_view page_template() {
  return {chamber_template_begin, chamber_template_end};
}
std::string_view page_style() {
  return {chamber_style_begin, chamber_style_end};
}
std::string_view page_script() {
  return {chamber_script_begin, chamber_script_end};
}
std::string_view page_viewer() {
  return {chamber_viewer_begin, chamber_viewer_end};
}

} // namespace chamber::papers
