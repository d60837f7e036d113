#include "chamber/job/design_files.hpp"
#include "chamber/job/papers.hpp"
#include "chamber/job/watch.hpp"
#include <fmt/format.h>
#include <fstream>
#include <iterator>

namespace chamber::job {
namespace {

constexpr auto view_file = "-view.glb"; ///< goes into the traveller

tl::unexpected<Failure> failed(Exit code, Problem problem) {
  return tl::unexpected(Failure{code, {std::move(problem)}, {}});
}

} // namespace

DesignFiles::DesignFiles(Design& design, const DesignOptions& options, const Staging& staging)
    : d_(design), options_(options), staging_(staging), base_(slug(design.spec.name)) {}

std::vector<solid::Part> DesignFiles::parts() const {
  const auto part = [&](std::string_view what, std::vector<shapes::NamedSegment> outline) {
    const auto file = fmt::format("{}-{}", base_, what);
    solid::Part p{fmt::format("{} rev {} {}", d_.spec.name, d_.spec.revision, what), std::move(outline),
                  staging_.path(file + ".step"), ""};
    if (has(Output::stl)) p.stl_path = staging_.path(file + "_mm.stl");
    return p;
  };
  std::vector<solid::Part> out{part("insert", d_.insert.outline),
                               part("cavity", shapes::cavity_outline(d_.fit.chamber))};
  if (has(Output::glb)) out[0].glb_path = staging_.path(base_ + "-insert.glb");
  if (has(Output::traveller)) out[0].view_path = staging_.path(base_ + view_file);
  for (const auto& named : out[1].outline) out[0].chamber_faces.push_back(named.face);
  return out;
}

tl::expected<void, Failure> DesignFiles::draw() {
  if (!has(Output::drawing) && !has(Output::traveller)) return {};
  const Watch watch;
  auto sheet = drawing::insert_sheet(sheet_input(d_.spec, d_.fit, d_.insert, d_.limits.sizes));
  if (!sheet) {
    if (!has(Output::drawing)) return {}; // the traveller stands without it
    auto p = sheet.error();
    p.cure += " Leaving it out: --without drawing.";
    return failed(Exit::unproven, std::move(p));
  }
  for (const auto& page : sheet->pages) {
    auto svg = drawing::to_svg(page);
    if (!svg) return failed(Exit::files, svg.error());
    sheets_.push_back(std::move(*svg));
  }
  sheet_ = std::move(*sheet);
  drawing_ms_ = watch.ms();
  return {};
}

tl::expected<void, Failure> DesignFiles::convert() {
  if (!has(Output::drawing)) return {};
  const Watch watch;
  const auto keep = [&](std::string suffix, std::string kind, Result<std::string> bytes) -> Result<void> {
    if (!bytes) return tl::unexpected(bytes.error());
    drawings_.push_back({std::move(suffix), std::move(kind), std::move(*bytes)});
    return {};
  };
  const auto all = [&]() -> Result<void> {
    if (auto ok = keep("-drawing.pdf", "drawing, both sheets", drawing::to_pdf(sheet_->pages)); !ok) return ok;
    if (auto ok = keep("-drawing.dxf", "drawing as DXF, the insert 1:1 in millimetres",
                       drawing::to_dxf(drawing::side_by_side(*sheet_), sheet_->model));
        !ok)
      return ok;
    for (std::size_t i = 0; i < sheet_->pages.size(); ++i) {
      const auto name = fmt::format("-drawing-{}", i + 1), kind = fmt::format("drawing, sheet {}", i + 1);
      if (auto ok = keep(name + ".svg", kind, sheets_[i]); !ok) return ok;
      if (auto ok = keep(name + ".png", kind, drawing::to_png(sheet_->pages[i])); !ok) return ok;
    }
    return {};
  };
  if (auto ok = all(); !ok) return failed(Exit::files, ok.error());
  converting_ms_ = watch.ms();
  return {};
}

void DesignFiles::list(const std::string& suffix, std::string_view kind) {
  d_.files.push_back({(options_.folder / (base_ + suffix)).string(), std::string(kind)});
}

tl::expected<void, Failure> DesignFiles::put(const std::string& suffix, const std::string& kind,
                                             std::string_view text) {
  if (auto ok = staging_.write(base_ + suffix, text); !ok) return failed(Exit::files, ok.error());
  list(suffix, kind);
  return {};
}

/// Lists the kernel's files; those that were only made to be checked go.
void DesignFiles::keep_solids() {
  const auto keep = [&](const std::string& suffix, std::string_view kind, Output o) {
    if (has(o)) return list(suffix, kind);
    std::error_code ignored;
    std::filesystem::remove(staging_.path(base_ + suffix), ignored);
  };
  keep("-insert.step", "STEP, insert", Output::step);
  keep("-cavity.step", "STEP, cavity with the plug fitted", Output::step);
  keep("-insert_mm.stl", "STL in millimetres, insert", Output::stl);
  keep("-cavity_mm.stl", "STL in millimetres, cavity", Output::stl);
  keep("-insert.glb", "glTF for viewers, insert", Output::glb);
}

void DesignFiles::tell() {
  if (!has(Output::traveller)) return;
  const Watch watch;
  // What the sheet lets one say; where it lets nothing be said, the page stands without.
  const auto report = target_report(d_.spec, {});
  traveller_ = traveller_of(d_, report ? &*report : nullptr, sheets_);
  if (options_.part) add_set(traveller_, *options_.part);
  telling_ms_ = watch.ms();
}

tl::expected<void, Failure> DesignFiles::print() {
  if (!has(Output::traveller)) return {};
  const Watch watch;
  std::vector<papers::Sheet> sheets;
  if (sheet_)
    for (const auto& page : sheet_->pages)
      sheets.push_back({fmt::format("Drawing, sheet {} of {}", sheets.size() + 1, sheet_->pages.size()), page.width_mm,
                        page.height_mm, drawing::frame_margin_mm,
                        [&page](_cairo* c) { drawing::paint(c, page, 72 / 25.4); }});
  auto pdf = papers::to_pdf(traveller_, paper_of(d_.spec), sheets);
  if (!pdf) return failed(Exit::files, pdf.error());
  traveller_pdf_ = std::move(*pdf);
  printing_ms_ = watch.ms();
  return {};
}

tl::expected<void, Failure> DesignFiles::write_page() {
  const auto path = staging_.path(base_ + view_file);
  std::ifstream in(path, std::ios::binary);
  traveller_.glb.assign(std::istreambuf_iterator<char>(in), {});
  std::error_code ignored;
  std::filesystem::remove(path, ignored);
  if (traveller_.glb.empty())
    return failed(Exit::files, {{},
                                fmt::format("the file \"{}\" cannot be read back.", path.string()),
                                "free some space, or leave the traveller out: --without traveller."});
  return put("-traveller.html", "traveller: page, setup sheets and inspection, to look at and to print",
             papers::to_html(traveller_));
}

tl::expected<void, Failure> DesignFiles::write(Awaited& converted, Awaited& printed) {
  if (has(Output::program))
    for (const auto& f : d_.turned.files)
      if (auto ok = put(f.suffix, f.kind, f.text); !ok) return ok;
  if (auto ok = converted.get(); !ok) return ok;
  for (const auto& f : drawings_)
    if (auto ok = put(f.name, f.kind, f.text); !ok) return ok;
  d_.stages.push_back({"drawing", drawing_ms_ + converting_ms_});
  if (has(Output::traveller)) {
    const Watch watch;
    if (auto ok = write_page(); !ok) return ok;
    const double page_ms = watch.ms();
    if (auto ok = printed.get(); !ok) return ok;
    if (auto ok = put("-traveller.pdf", "traveller, to print: the same, and the drawing's sheets", traveller_pdf_); !ok)
      return ok;
    d_.stages.push_back({"traveller", telling_ms_ + printing_ms_ + page_ms});
  }
  keep_solids();
  if (!has(Output::json)) return {};
  list(".json", "result as JSON");
  if (auto ok = staging_.write(base_ + ".json", to_json(d_, false)); !ok) return failed(Exit::files, ok.error());
  return {};
}

} // namespace chamber::job
