#include "base/error.h"
#include "base/number.h"
#include "inputs/characteristic_ids.h"
#include "inputs/session.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

constexpr double kLargest_mm = 1000;

Limit length_limit(const TomlTable& t, const std::string& id) {
  if (!is_length(id))
    t.fail_at(
        id, "\"" + id + "\" has no length: its limit cannot be A + L/K", "Give one number in mm.");
  const TomlTable parts = t.table(id);
  Limit limit;
  limit.A_mm = parts.number("A", Range::from_zero(kLargest_mm, "mm"));
  limit.K = parts.number("K", {100, 1e9, "(mm of length per mm)", false});
  parts.finish();
  return limit;
}

Limit read_limit(const TomlTable& t, const std::string& id) {
  if (t.is_table(id)) return length_limit(t, id);
  return {t.number(id, Range::positive(kLargest_mm, "mm")), 0};
}

void read_mm(const TomlTable& mm, Limits& limits) {
  for (const auto& id : characteristic_ids())
    if (mm.has(id)) limits.by_characteristic[id] = read_limit(mm, id);
  mm.finish();
  for (const auto& [id, limit] : limits.by_characteristic)
    if (limits.rule == DecisionRule::guarded && limit.K == 0 && limits.guard_mm >= limit.A_mm)
      mm.fail_at(id,
                 "the guard band w_mm " + exact(limits.guard_mm) + " leaves nothing of the limit " +
                     exact(limit.A_mm) + " mm",
                 "w_mm is taken off the limit; it must be smaller.");
}

DecisionRule rule_of(const std::string& word) {
  return word == "simple"   ? DecisionRule::simple
         : word == "proven" ? DecisionRule::proven
                            : DecisionRule::guarded;
}

void read_rule(const TomlTable& t, Limits& limits) {
  limits.rule = rule_of(t.word("rule", {"simple", "proven", "guarded"}, "proven"));
  if (limits.rule == DecisionRule::guarded)
    limits.guard_mm = t.number("w_mm", Range::positive(kLargest_mm, "mm"));
  else if (t.has("w_mm"))
    t.fail_at(
        "w_mm",
        "w_mm belongs to rule = \"guarded\", the rule here is \"" + to_string(limits.rule) + "\"",
        "Take w_mm out, or write rule = \"guarded\".");
}

}  // namespace

std::string to_string(DecisionRule rule) {
  return rule == DecisionRule::simple   ? "simple"
         : rule == DecisionRule::proven ? "proven"
                                        : "guarded";
}

Limits load_limits(const std::filesystem::path& file) {
  const TomlTable t = TomlTable::load(file);
  Limits limits;
  limits.name = t.label("name", file.stem().string());
  limits.set_by = t.text("set_by", "");
  limits.date = t.date("date");
  limits.role = t.text("role", "");
  read_rule(t, limits);
  if (const auto mm = t.maybe_table("mm")) read_mm(*mm, limits);
  t.finish();
  return limits;
}

std::string to_toml(const Limits& limits) {
  TomlWriter w;
  w.text("name", limits.name);
  w.text("set_by", limits.set_by);
  w.date("date", limits.date);
  w.text("rule", to_string(limits.rule));
  if (limits.rule == DecisionRule::guarded) w.number("w_mm", limits.guard_mm);
  w.text("role", limits.role);
  w.heading("[mm]");
  for (const auto& [id, limit] : limits.by_characteristic) {
    if (limit.K > 0)
      w.line(id + " = { A = " + exact(limit.A_mm) + ", K = " + exact(limit.K) + " }");
    else
      w.number(id, limit.A_mm);
  }
  return w.str();
}

}  // namespace rigproof
