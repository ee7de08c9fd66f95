#include "app/limits_questions.h"

#include <algorithm>

#include "base/error.h"
#include "inputs/characteristic_ids.h"
#include "inputs/near_name.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

constexpr double kLargest_mm = 1000;

/// "0.03", or "0.010+L/15000" for what has a length.
Limit typed_limit(const std::string& id, const std::string& text) {
  const auto plus = text.find("+L/");
  if (plus == std::string::npos) return {typed_number(text, Range::positive(kLargest_mm, "mm")), 0};
  if (!is_length(id))
    throw Error(ErrorKind::usage,
                id + " has no length: its limit cannot be A+L/K",
                "Give one number in mm.");
  return {typed_number(text.substr(0, plus), Range::from_zero(kLargest_mm, "mm")),
          typed_number(text.substr(plus + 3), {100, 1e9, "mm of length per mm"})};
}

void given_limits(const AddOptions& o, Limits& limits) {
  for (const std::string& text : o.limits) {
    const auto equals = text.find('=');
    const std::string id = text.substr(0, equals);
    if (equals == std::string::npos)
      throw Error(ErrorKind::usage,
                  "--limit \"" + text + "\" has no value",
                  "Write e.g. --limit sphere_spacing=0.03 or --limit "
                  "sphere_spacing=0.010+L/15000.");
    if (std::ranges::find(characteristic_ids(), id) == characteristic_ids().end())
      throw Error(ErrorKind::usage,
                  "--limit names \"" + id + "\", which is nothing that is measured",
                  did_you_mean(id, characteristic_ids()));
    if (!limits.by_characteristic.emplace(id, typed_limit(id, text.substr(equals + 1))).second)
      throw Error(ErrorKind::usage, "--limit names " + id + " twice", "Keep one of them.");
  }
}

/// The four that most tests judge; others by option or in the file.
void ask_values(Questions& q, Limits& limits) {
  q.say("Limits in mm, as agreed beforehand. What has none is measured and not judged.");
  for (const char* id : {"sphere_spacing", "probing_form", "probing_size", "flatness"})
    q.text({"--limit", std::string(id) + (is_length(id) ? ", e.g. 0.03 or 0.010+L/15000" : ""), ""},
           std::nullopt,
           [&](const std::string& t) {
             if (!t.empty()) limits.by_characteristic[id] = typed_limit(id, t);
           });
}

DecisionRule rule_of(const std::string& word) {
  return word == "simple"   ? DecisionRule::simple
         : word == "proven" ? DecisionRule::proven
                            : DecisionRule::guarded;
}

}  // namespace

Limits ask_limits(const AddOptions& o,
                  Questions& q,
                  const std::function<void(const std::string&)>& name_known) {
  Limits limits;
  limits.name = plain_name(q.label({"--name", "Name, e.g. R12-agreed", {}}, o["--name"]));
  name_known(limits.name);
  given_limits(o, limits);
  if (o.limits.empty() && q.asking()) ask_values(q, limits);
  if (limits.by_characteristic.empty())
    throw Error(
        ErrorKind::usage,
        "--limit is missing: at least one limit, ID=MM",
        "Write e.g. --limit sphere_spacing=0.03. Known are " + listed(characteristic_ids()) + ".");
  limits.rule = rule_of(q.word({"--rule",
                                "Decision rule: simple (the value alone), proven (with its "
                                "uncertainty), guarded (within a guard band)",
                                "proven"},
                               o["--rule"],
                               {"simple", "proven", "guarded"}));
  if (limits.rule == DecisionRule::guarded)
    limits.guard_mm =
        q.number({"--w", "Guard band w, mm", {}}, o["--w"], Range::positive(kLargest_mm, "mm"));
  else if (o["--w"])
    throw Error(ErrorKind::usage, "--w belongs to --rule guarded", "Leave it out.");
  limits.set_by = q.text({"--set-by", "Agreed with", ""}, o["--set-by"]);
  limits.date = q.maybe_date({"--date", "Agreed on, YYYY-MM-DD", to_string(today())}, o["--date"]);
  limits.role =
      q.text({"--role", "Who carries the burden of proof, e.g. supplier", ""}, o["--role"]);
  return limits;
}

}  // namespace rigproof
