#include "scan/ply_writer.h"

#include <algorithm>
#include <bit>

#include "base/error.h"

namespace rigproof {
namespace {

static_assert(std::endian::native == std::endian::little, "numbers are written as they lie");

constexpr std::size_t kBuffer = 1u << 20;

template <class T>
void append(std::string& to, const T& value) {
  to.append(reinterpret_cast<const char*>(&value), sizeof value);
}

std::string one_line(std::string text) {
  std::ranges::replace_if(text, [](char c) { return c == '\n' || c == '\r'; }, ' ');
  return text;
}

std::string header(std::uint64_t vertices, const PlyOptions& options) {
  std::string text = "ply\nformat binary_little_endian 1.0\n";
  for (const std::string& c : options.comments) text += "comment " + one_line(c) + "\n";
  if (options.columns > 0 && options.rows > 0)
    text += "obj_info num_cols " + std::to_string(options.columns) + "\nobj_info num_rows " +
            std::to_string(options.rows) + "\n";
  text += "element vertex " + std::to_string(vertices) + "\n";
  for (const char* axis : {"x", "y", "z"})
    text += std::string("property ") + (options.doubles ? "double " : "float ") + axis + "\n";
  if (options.faces > 0)
    text += "element face " + std::to_string(options.faces) +
            "\nproperty list uchar uint vertex_indices\n";
  return text + "end_header\n";
}

}  // namespace

PlyWriter::PlyWriter(const std::filesystem::path& path,
                     std::uint64_t vertices,
                     const PlyOptions& options)
    : file_(path),
      buffer_(header(vertices, options)),
      doubles_(options.doubles),
      vertices_left_(vertices),
      faces_left_(options.faces) {}

void PlyWriter::add(const Vec3& point) {
  if (vertices_left_ == 0) throw Error(ErrorKind::internal, "more PLY vertices than announced");
  --vertices_left_;
  for (int c = 0; c < 3; ++c) {
    if (doubles_)
      append(buffer_, point[c]);
    else
      append(buffer_, static_cast<float>(point[c]));
  }
  flush_above(kBuffer);
}

void PlyWriter::add(const Points& points) {
  for (std::size_t i = 0; i < points.size(); ++i) add(points.at(i));
}

void PlyWriter::add_face(const std::array<std::uint32_t, 3>& corners) {
  if (vertices_left_ > 0 || faces_left_ == 0)
    throw Error(ErrorKind::internal, "a PLY face out of turn");
  --faces_left_;
  append(buffer_, std::uint8_t{3});
  for (const std::uint32_t corner : corners) append(buffer_, corner);
  flush_above(kBuffer);
}

void PlyWriter::finish() {
  if (vertices_left_ > 0 || faces_left_ > 0)
    throw Error(ErrorKind::internal, "fewer PLY vertices or faces than announced");
  flush_above(0);
  file_.commit();
}

void PlyWriter::flush_above(std::size_t bytes) {
  if (buffer_.size() <= bytes) return;
  file_.write(buffer_);
  buffer_.clear();
}

void write_ply(const std::filesystem::path& path, const Points& points, const PlyOptions& options) {
  PlyWriter writer(path, points.size(), options);
  writer.add(points);
  writer.finish();
}

}  // namespace rigproof
