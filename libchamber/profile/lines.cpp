#include "chamber/profile/proposed_detail.hpp"

namespace chamber::profile::detail {

bool Lines::fill() {
  if (!in_) return false;
  block_.resize(1 << 16);
  in_.read(block_.data(), static_cast<std::streamsize>(block_.size()));
  block_.resize(static_cast<std::size_t>(in_.gcount()));
  at_ = 0;
  return !block_.empty();
}

Lines::Next Lines::next(std::string_view& line) {
  constexpr char dos_end = 26; // some programs still end a text file with it
  line_.clear();
  bool any = false;
  for (;;) {
    if (at_ == block_.size() && !fill()) {
      if (!any) return Next::end;
      break;
    }
    if (after_return_ && block_[at_] == '\n') ++at_;
    const bool was_return = after_return_;
    after_return_ = false;
    if (was_return && at_ == block_.size()) continue;
    std::size_t to = at_;
    for (; to < block_.size(); ++to) {
      const auto c = static_cast<unsigned char>(block_[to]);
      if (c >= 32 || c == '\t' || c == '\f') continue;
      if (c == '\n' || c == '\r' || c == dos_end) break;
      ++number_;
      return Next::binary;
    }
    any = true;
    line_.append(block_, at_, to - at_);
    if (line_.size() > longest) {
      ++number_;
      return Next::too_long;
    }
    const bool ended = to < block_.size();
    at_ = ended ? to + 1 : to;
    if (!ended) continue;
    if (block_[to] == dos_end) {
      at_ = block_.size();
      in_.setstate(std::ios::eofbit | std::ios::failbit);
      if (line_.empty()) return Next::end;
    }
    after_return_ = block_[to] == '\r';
    break;
  }
  ++number_;
  line = line_;
  if (number_ == 1 && line.starts_with("\xEF\xBB\xBF")) line.remove_prefix(3);
  return Next::line;
}

std::string_view other_kind(std::string_view line) {
  if (line.starts_with("ISO-10303-21")) return "a STEP file";
  if (line.starts_with("%PDF")) return "a PDF";
  if (line.starts_with("PK\x03\x04")) return "a packed file (a spreadsheet, perhaps)";
  if (line.starts_with("AutoCAD Binary DXF")) return "a binary DXF";
  if (line.starts_with("AC10") && line.size() == 6) return "a DWG";
  if (line.starts_with("\xFF\xFE") || line.starts_with("\xFE\xFF")) return "text of two bytes a character (UTF-16)";
  if (line.starts_with("solid ")) return "an STL mesh";
  if (line.starts_with("<?xml") || line.starts_with("<svg") || line.starts_with("<!DOCTYPE")) return "XML or HTML";
  return {};
}

} // namespace chamber::profile::detail
