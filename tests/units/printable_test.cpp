// What a file said, before a terminal gets it. Malformed sequences: RFC 3629, sections 3, 4 and 10; control characters:
// ECMA-48 (C0, C1 with CSI = 9B).
#include "chamber/units/printable.hpp"
#include <catch2/catch.hpp>

using chamber::printable;

TEST_CASE("printable: what may be shown stays", "[printable]") {
  for (const auto* text : {"", "bore 66.4 mm", "188\u00b0", "\u00a0", "\u6c34", "\U0001f527", "\U0010ffff"})
    CHECK(printable(text) == text);
}

TEST_CASE("printable: control characters and broken UTF-8 are question marks", "[printable]") {
  CHECK(printable(std::string_view("a\0b", 3)) == "a?b");
  CHECK(printable("a\x1b[31mred\x07\x7f\r\n") == "a?[31mred????");
  CHECK(printable("\xc2\x9b"
                  "31m") == "??31m");                  // CSI as one character
  CHECK(printable("\xc0\x80") == "??");                // overlong NUL
  CHECK(printable("\xc0\x9b") == "??");                // overlong escape
  CHECK(printable("\xe0\x82\x9b") == "???");           // overlong CSI
  CHECK(printable("\xf0\x80\x80\xaf") == "????");      // overlong slash
  CHECK(printable("\xed\xa0\x80") == "???");           // a surrogate
  CHECK(printable("\xf4\x90\x80\x80") == "????");      // past U+10FFFF
  CHECK(printable("\xf8\x88\x80\x80\x80") == "?????"); // five bytes
  CHECK(printable("\xe6\xb0") == "??");                // cut short
  CHECK(printable("\xb0 latin") == "? latin");
}

TEST_CASE("printable: cut between characters", "[printable]") {
  CHECK(printable("abcdef", 6) == "abcdef");
  CHECK(printable("abcdefg", 6) == "abcdef...");
  CHECK(printable("abc\u6c34", 6) == "abc\u6c34");
  CHECK(printable("abcd\u6c34", 6) == "abcd...");
}
