#include "assess/open_scan.h"

#include "base/input_file.h"
#include "scan/simulated.h"

namespace rigproof {
namespace {

void record_facts(ScanRecord& record, const Scan& scan) {
  const ScanFacts& facts = scan.facts();
  record.bytes = facts.bytes;
  record.points = facts.points;
  record.dropped = facts.dropped;
  record.faces = facts.faces;
  record.format = facts.format;
  record.simulated = says_simulated(facts.comments);
}

/// A file without a finite point is as useless as one that cannot be read.
void check_points(const ScanPassInput& in, const ScanFacts& facts) {
  if (facts.points == 0)
    throw Error(ErrorKind::data,
                display(in.path) + ": none of its " + std::to_string(facts.dropped) +
                    " points has finite coordinates",
                "Export it again; if it is the same, the scanner saw nothing there.");
}

}  // namespace

void reject(ScanPass& pass, const Finding& finding) {
  pass.record.status = ScanStatus::rejected;
  if (pass.record.reason.empty()) pass.record.reason = finding.id;
}

std::optional<Scan> open_scan(const ScanPassInput& in, ScanPass& pass) {
  try {
    ScanOptions options = in.options;
    options.hash_in_background = true;
    Scan scan = Scan::open(in.path, options);
    record_facts(pass.record, scan);
    if (scan.facts().points == 0) pass.record.sha256 = scan.sha256();
    check_points(in, scan.facts());
    return scan;
  } catch (const TruncatedScan& error) {
    pass.failure = error;
    pass.findings.push_back(
        make_finding("truncated", {{"detail", error.what()}, {"scan", in.name}}, in.name));
  } catch (const Error& error) {
    pass.failure = error;
    pass.findings.push_back(make_finding(
        "unreadable", {{"detail", error.what()}, {"next_step", error.next_step()}}, in.name));
  }
  reject(pass, pass.findings.back());
  return std::nullopt;
}

}  // namespace rigproof
