#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace rigproof {

/// What a page template is filled with. Text is made plain and escaped on its way in; only html()
/// passes through as it is, and only for markup that this room wrote.
class PageData {
 public:
  PageData& text(const std::string& name, std::string_view value);
  PageData& html(const std::string& name, std::string markup);
  PageData& flag(const std::string& name, bool on = true);
  /// One more element of the list `name`; a list section is repeated for each.
  PageData& add(const std::string& name);

  const std::map<std::string, std::string>& values() const { return values_; }
  const std::map<std::string, bool>& flags() const { return flags_; }
  const std::map<std::string, std::vector<PageData>>& lists() const { return lists_; }

 private:
  std::map<std::string, std::string> values_;  // escaped
  std::map<std::string, bool> flags_;
  std::map<std::string, std::vector<PageData>> lists_;
};

/// Renders a mustache template (mustache(5)): {{name}} values, {{#name}} … {{/name}} sections. A
/// name that `data` lacks, here or around, renders as nothing. Throws Error(internal) for a
/// template that does not parse.
std::string render_template(const std::filesystem::path& file, const PageData& data);

}  // namespace rigproof
