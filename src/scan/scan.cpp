#include "scan/scan.h"

#include <chrono>
#include <cmath>
#include <mutex>

#include "base/input_file.h"
#include "base/threads.h"
#include "scan/background_hash.h"
#include "scan/gather.h"
#include "scan/gzip.h"
#include "scan/source.h"
#include "scan/survey.h"
#include "scan/text.h"
#include "scan/transform.h"

namespace rigproof {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

/// Opens the file and unpacks it when it is gzip-compressed.
SourceInput open_input(const std::filesystem::path& path,
                       std::shared_ptr<const Bytes> disk,
                       int threads) {
  SourceInput input;
  input.path = path;
  input.bytes = std::move(disk);
  input.on_disk = input.bytes->size();
  input.threads = threads;
  input.extension = lower(path.extension().native());
  if (input.bytes->size() == 0) refuse(input, "is empty");
  if (is_gzip(*input.bytes)) {
    if (input.extension == ".gz") input.extension = lower(path.stem().extension().native());
    input.bytes = unpack_gzip(input);
    if (input.bytes->size() == 0) refuse(input, "is empty once unpacked");
  }
  input.head = input.bytes->head(SourceInput::kHead);
  return input;
}

/// Whether the last n bytes are zeros that fill a page.
bool is_padding(const Bytes& bytes, std::uint64_t n) {
  static constexpr std::uint64_t kPage = 4096;
  if (n >= kPage) return false;
  std::string end(n, '\1');
  bytes.read(bytes.size() - n, end.data(), n);
  return end.find_first_not_of('\0') == std::string::npos;
}

}  // namespace

std::string to_string(ScalarType type) {
  switch (type) {
    case ScalarType::text:
      return "text";
    case ScalarType::float32:
      return "32-bit float";
    case ScalarType::float64:
      return "64-bit float";
    case ScalarType::integer:
      return "integer";
  }
  return {};
}

struct Scan::State {
  ScanFacts facts;
  PointTable table;
  Delivery delivery;
  Survey survey;
  ScanTimings timings;
  int threads = 0;
  mutable std::mutex mutex;  // of the hash and the timings
  std::unique_ptr<BackgroundHash> hash;
  std::string sha256;

  void look_over(const ScanOptions& options, int workers);
};

void Scan::State::look_over(const ScanOptions& options, int workers) {
  delivery.unit = options.unit_mm;
  delivery.base = options.unit_mm * table.origin;
  delivery.turned = delivery.to_sensor.rotation != Mat3::Identity() ||
                    delivery.to_sensor.translation != Vec3::Zero();
  survey = rigproof::survey(table, delivery, options.sample_target, workers);
  facts.points = survey.finite;
  facts.dropped = table.count - survey.finite;
  facts.box = survey.box;
  threads = options.threads;
}

Scan Scan::open(const std::filesystem::path& path, const ScanOptions& options) {
  const auto start = Clock::now();
  if (!(options.unit_mm > 0) || !std::isfinite(options.unit_mm))
    throw Error(ErrorKind::config, "a unit of " + std::to_string(options.unit_mm) + " mm");
  const int threads = options.threads > 0 ? options.threads : default_threads();
  // The hash is the longest single thread of work: it has one of the threads to itself.
  const int workers = options.hash && threads > 1 ? threads - 1 : threads;
  Scan scan;
  scan.state_ = std::make_shared<State>();
  State& state = *scan.state_;

  const auto disk = std::make_shared<FileBytes>(path);
  if (options.hash && threads > 1) state.hash = std::make_unique<BackgroundHash>(disk);
  const SourceInput input = open_input(path, disk, workers);
  Source source = read_source(input);
  if (source.facts.scalar != ScalarType::text && is_padding(*input.bytes, source.facts.trailing))
    source.facts.trailing = 0;
  state.table = std::move(source.points);
  state.facts = std::move(source.facts);
  state.facts.path = path;
  state.facts.bytes = disk->size();
  place(options, source.transform, state.facts, state.delivery.to_sensor);
  state.look_over(options, workers);
  disk->check_unchanged();
  if (options.hash && threads == 1) state.hash = std::make_unique<BackgroundHash>(disk);
  if (state.hash && !options.hash_in_background) state.facts.sha256 = scan.sha256();
  state.timings.open_s = seconds_since(start);
  return scan;
}

Scan Scan::from_points(const Points& points, const std::string& name) {
  Scan scan;
  scan.state_ = std::make_shared<State>();
  State& state = *scan.state_;
  auto bytes = std::make_shared<MemoryBytes>();
  std::vector<double> piece;
  static constexpr std::size_t kPiece = 1u << 16;
  for (std::size_t i = 0; i < points.size(); ++i) {
    piece.insert(piece.end(), {points.x[i], points.y[i], points.z[i]});
    if (piece.size() < 3 * kPiece && i + 1 < points.size()) continue;
    bytes->append_copy(piece.data(), piece.size() * sizeof(double));
    piece.clear();
  }
  state.table = {.bytes = bytes,
                 .count = points.size(),
                 .layout = Layout::packed(Numeric::f64),
                 .origin = points.origin,
                 .keep_origin = true};
  state.facts.path = name;
  state.facts.format = "points in memory";
  state.facts.scalar = ScalarType::float64;
  state.facts.bytes = bytes->size();
  state.look_over({}, 0);
  return scan;
}

const ScanFacts& Scan::facts() const { return state_->facts; }

const std::string& Scan::sha256() const {
  const std::lock_guard lock(state_->mutex);
  if (state_->hash) {
    state_->sha256 = state_->hash->get();
    state_->hash.reset();
  }
  return state_->sha256;
}

const Points& Scan::sample() const { return state_->survey.sample; }

std::vector<Points> Scan::gather(std::span<const Region> regions) const {
  const auto start = Clock::now();
  const State& s = *state_;
  auto out = gather_regions(s.table, s.delivery, s.survey, regions, s.threads);
  const std::lock_guard lock(s.mutex);
  state_->timings.gather_s += seconds_since(start);
  return out;
}

Points Scan::all() const {
  const auto start = Clock::now();
  const State& s = *state_;
  Points out = gather_all(s.table, s.delivery, s.survey, s.threads);
  const std::lock_guard lock(s.mutex);
  state_->timings.gather_s += seconds_since(start);
  return out;
}

ScanTimings Scan::timings() const {
  const std::lock_guard lock(state_->mutex);
  return state_->timings;
}

}  // namespace rigproof
