#pragma once
// The page's own files, as they lie in page/.
#include <string_view>

namespace chamber::papers {

std::string_view page_template(); ///< mustache
std::string_view page_style();
std::string_view page_script(); ///< of the page itself
std::string_view page_viewer(); ///< the script for the model, made by page/bundle.mjs

} // namespace chamber::papers
