#pragma once
// The files of one design: which there are, and how they come into the staging.
#include "chamber/drawing/sheet.hpp"
#include "chamber/job/design.hpp"
#include "chamber/papers/pdf.hpp"
#include <future>

namespace chamber::job {

/// Holds on to all three. draw(), then convert() and, when the programs are there, tell() and print() may run while
/// the solids are made; when these are proven too, write().
class DesignFiles {
public:
  DesignFiles(Design& design, const DesignOptions& options, const Staging& staging);

  /// The two bodies and where their files go. Every STEP file is written, for it is read back.
  std::vector<solid::Part> parts() const;
  /// Makes the drawing, as SVG, if any paper needs it. Reads spec, fit and insert of the design.
  tl::expected<void, Failure> draw();
  /// Makes the drawing's files.
  tl::expected<void, Failure> convert();
  /// Fills the traveller, but for the model. Reads all of the design but the solids.
  void tell();
  /// Makes the traveller's PDF.
  tl::expected<void, Failure> print();
  /// Stages what was chosen, takes away what was only made to be checked, and lists the files in the design. What
  /// convert() and print() return is waited for.
  using Awaited = std::future<tl::expected<void, Failure>>;
  tl::expected<void, Failure> write(Awaited& converted, Awaited& printed);

private:
  struct File {
    std::string name, kind, text;
  };
  bool has(Output o) const { return options_.outputs.has(o); }
  tl::expected<void, Failure> put(const std::string& suffix, const std::string& kind, std::string_view text);
  void list(const std::string& suffix, std::string_view kind);
  void keep_solids();
  tl::expected<void, Failure> write_page();

  Design& d_;
  const DesignOptions& options_;
  const Staging& staging_;
  std::string base_;
  std::vector<File> drawings_;
  std::optional<drawing::Sheet> sheet_;
  std::vector<std::string> sheets_; ///< the same as SVG
  papers::Traveller traveller_;
  std::string traveller_pdf_;
  double drawing_ms_ = 0, converting_ms_ = 0, telling_ms_ = 0, printing_ms_ = 0;
};

} // namespace chamber::job
