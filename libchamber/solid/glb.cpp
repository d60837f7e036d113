// A writer of our own: the kernel's brings its whole document layer along, which costs more start time than the mesh
// takes to make, and would mesh the shape a second time.
#include "chamber/solid/tessellation.hpp"
#include <algorithm>
#include <bit>
#include <cmath>
#include <fmt/format.h>
#include <limits>
#include <numbers>

namespace chamber::solid {
namespace {

static_assert(std::endian::native == std::endian::little, "glTF is little-endian");

constexpr double metres = 1e-3;

/// What one material covers, as the file holds it.
struct Primitive {
  std::vector<float> positions, normals;
  std::vector<std::uint32_t> indices;
};

void add_row(Primitive& out, const Mesh& mesh, const FaceRow& row, std::uint32_t step) {
  for (std::uint32_t k = 0; k < mesh.columns; k += step) {
    const auto& p = mesh.points[row.first + (row.pole ? 0 : k)];
    const double a = 2 * std::numbers::pi * k / mesh.columns;
    // (x, y, z) with Z up is (x, z, -y) with Y up.
    for (const double x : {p[0] * metres, p[2] * metres, -p[1] * metres})
      out.positions.push_back(static_cast<float>(x));
    for (const double x : {row.normal_r * std::cos(a), row.normal_z, -row.normal_r * std::sin(a)})
      out.normals.push_back(static_cast<float>(x));
  }
}

/// `step`: 2 takes every second column and row; a face of two rows keeps both.
void add_face(Primitive& out, const Mesh& mesh, const FaceRows& face, std::uint32_t step) {
  const std::uint32_t columns = mesh.columns / step;
  std::vector<FaceRow> rows;
  const bool even = (face.rows.size() - 1) % step == 0;
  for (std::size_t j = 0; j < face.rows.size(); j += even ? step : 1) rows.push_back(face.rows[j]);
  const auto first = static_cast<std::uint32_t>(out.positions.size() / 3);
  for (const auto& row : rows) add_row(out, mesh, row, step);
  for (std::uint32_t j = 0; j + 1 < rows.size(); ++j) {
    const std::uint32_t a = first + j * columns, b = a + columns;
    const auto emit = [&](std::uint32_t p, std::uint32_t q, std::uint32_t r) {
      face.outward ? out.indices.insert(out.indices.end(), {p, q, r})
                   : out.indices.insert(out.indices.end(), {p, r, q});
    };
    for (std::uint32_t k = 0; k < columns; ++k) {
      const std::uint32_t next = (k + 1) % columns;
      if (!rows[j].pole) emit(a + k, a + next, b + next);
      if (!rows[j + 1].pole) emit(a + k, b + next, b + k);
    }
  }
}

/// The binary chunk, and the views and accessors of the JSON that speak of it.
class Buffer {
public:
  int vectors(const std::vector<float>& xyz, bool with_range) {
    std::string range;
    if (with_range) {
      float low[3], high[3];
      for (std::size_t i = 0; i < 3; ++i) low[i] = std::numeric_limits<float>::max(), high[i] = -low[i];
      for (std::size_t i = 0; i < xyz.size(); ++i) {
        low[i % 3] = std::min(low[i % 3], xyz[i]);
        high[i % 3] = std::max(high[i % 3], xyz[i]);
      }
      range = fmt::format(R"(,"min":[{},{},{}],"max":[{},{},{}])", low[0], low[1], low[2], high[0], high[1], high[2]);
    }
    return add(xyz.data(), xyz.size() * sizeof(float), 34962, 5126, xyz.size() / 3, "VEC3", range);
  }

  int indices(const std::vector<std::uint32_t>& values, std::size_t vertices) {
    // 65535 itself would restart the strip.
    if (vertices >= 65535) return add(values.data(), values.size() * 4, 34963, 5125, values.size(), "SCALAR", "");
    const std::vector<std::uint16_t> small(values.begin(), values.end());
    return add(small.data(), small.size() * 2, 34963, 5123, small.size(), "SCALAR", "");
  }

  const std::string& bytes() const { return bytes_; }
  const std::string& views() const { return views_; }
  const std::string& accessors() const { return accessors_; }

private:
  int add(const void* data, std::size_t size, int target, int type, std::size_t count, const char* shape,
          const std::string& range) {
    const char* const comma = count_ ? "," : "";
    views_ += fmt::format(R"({}{{"buffer":0,"byteOffset":{},"byteLength":{},"target":{}}})", comma, bytes_.size(), size,
                          target);
    accessors_ += fmt::format(R"({}{{"bufferView":{},"componentType":{},"count":{},"type":"{}"{}}})", comma, count_,
                              type, count, shape, range);
    bytes_.append(static_cast<const char*>(data), size);
    bytes_.resize((bytes_.size() + 3) / 4 * 4);
    return count_++;
  }

  std::string bytes_, views_, accessors_;
  int count_ = 0;
};

struct Material {
  const char* name;
  const char* look; ///< linear colour, and how metallic and rough
};
constexpr Material materials[] = {
    {"body", R"("baseColorFactor":[0.57,0.6,0.64,1],"metallicFactor":0.35,"roughnessFactor":0.42)"},
    {"chamber", R"("baseColorFactor":[0.83,0.45,0.12,1],"metallicFactor":0.25,"roughnessFactor":0.45)"}};

/// Names are printable ASCII (checked at the door); two of those have a meaning in JSON.
std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

std::string json_of(const Buffer& buffer, const std::string& primitives, const std::string& looks,
                    const std::string& name) {
  return fmt::format(R"({{"asset":{{"version":"2.0","generator":"chamber"}},"scene":0,"scenes":[{{"nodes":[0]}}],)"
                     R"("nodes":[{{"mesh":0,"name":{0}}}],"meshes":[{{"name":{0},"primitives":[{1}]}}],)"
                     R"("materials":[{2}],"buffers":[{{"byteLength":{3}}}],"bufferViews":[{4}],"accessors":[{5}]}})",
                     quoted(name), primitives, looks, buffer.bytes().size(), buffer.views(), buffer.accessors());
}

bool put(std::FILE* file, const std::string& bytes) {
  return std::fwrite(bytes.data(), 1, bytes.size(), file) == bytes.size();
}

bool put(std::FILE* file, std::initializer_list<std::uint32_t> words) {
  return std::fwrite(words.begin(), sizeof(std::uint32_t), words.size(), file) == words.size();
}

} // namespace

bool write_glb(std::FILE* file, const Mesh& mesh, const std::string& name, const std::vector<std::string>& chamber,
               bool coarse) {
  Primitive parts[2];
  for (const auto& face : mesh.faces)
    add_face(parts[std::find(chamber.begin(), chamber.end(), face.name) != chamber.end()], mesh, face, coarse ? 2 : 1);
  Buffer buffer;
  std::string primitives, looks;
  int used = 0;
  for (std::size_t m = 0; m < 2; ++m) {
    if (parts[m].indices.empty()) continue;
    const int positions = buffer.vectors(parts[m].positions, true), normals = buffer.vectors(parts[m].normals, false);
    const int indices = buffer.indices(parts[m].indices, parts[m].positions.size() / 3);
    primitives += fmt::format(R"({}{{"attributes":{{"POSITION":{},"NORMAL":{}}},"indices":{},"material":{}}})",
                              used ? "," : "", positions, normals, indices, used);
    looks += fmt::format(R"({}{{"name":"{}","pbrMetallicRoughness":{{{}}}}})", used ? "," : "", materials[m].name,
                         materials[m].look);
    ++used;
  }
  std::string json = json_of(buffer, primitives, looks, name);
  json.resize((json.size() + 3) / 4 * 4, ' ');
  const auto text = static_cast<std::uint32_t>(json.size()), data = static_cast<std::uint32_t>(buffer.bytes().size());
  return put(file, {0x46546C67, 2, 12 + 8 + text + 8 + data}) && put(file, {text, 0x4E4F534A}) && put(file, json) &&
         put(file, {data, 0x004E4942}) && put(file, buffer.bytes());
}

} // namespace chamber::solid
