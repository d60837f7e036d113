#pragma once
// Fingerprints of texts, so that a sheet of paper can name the very file it belongs to.
#include <string>
#include <string_view>

namespace chamber::job {

/// SHA-256 (FIPS 180-4) of the bytes, as 64 hexadecimal digits: what sha256sum prints of a file that holds them.
std::string sha256(std::string_view bytes);

} // namespace chamber::job
