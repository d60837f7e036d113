#include "chamber/drawing/files.hpp"
#include <cerrno>
#include <cstring>
#include <fmt/format.h>
#include <fstream>

namespace chamber::drawing {
namespace {

Result<std::string> content(const Picture& picture, const Model& model, Format format, Curves curves) {
  switch (format) {
  case Format::pdf:
    return to_pdf(std::span(&picture, 1));
  case Format::svg:
    return to_svg(picture);
  case Format::png:
    return to_png(picture);
  case Format::dxf:
    return to_dxf(picture, model, curves);
  }
  throw std::logic_error("drawing: unknown format");
}

Result<void> to_file(const Result<std::string>& bytes, const std::filesystem::path& path) {
  if (!bytes) return tl::unexpected(bytes.error());
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  file.write(bytes->data(), static_cast<std::streamsize>(bytes->size()));
  file.close();
  if (file) return {};
  return fail(fmt::format("the drawing {} could not be written: {}.", path.string(), std::strerror(errno)),
              "check the folder, its rights and the space on the disk.");
}

} // namespace

Result<void> write(const Picture& picture, const Model& model, std::span<const Target> targets, Curves curves) {
  for (const auto& target : targets)
    if (auto ok = to_file(content(picture, model, target.format, curves), target.path); !ok) return ok;
  return {};
}

Result<void> write(std::span<const Picture> pages, const std::filesystem::path& pdf) {
  return to_file(to_pdf(pages), pdf);
}

} // namespace chamber::drawing
