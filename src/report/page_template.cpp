#include "report/page_template.h"

#include <kainjow/mustache.hpp>

#include "base/error.h"
#include "base/input_file.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

using kainjow::mustache::data;

data to_mustache(const PageData& page) {
  data out(data::type::object);
  // An empty text must hide its section, and a text of the same name further out.
  for (const auto& [name, value] : page.values())
    out.set(name, value.empty() ? data(false) : data(value));
  for (const auto& [name, on] : page.flags()) out.set(name, data(on));
  for (const auto& [name, elements] : page.lists()) {
    data list(data::type::list);
    for (const PageData& element : elements) list.push_back(to_mustache(element));
    out.set(name, list);
  }
  return out;
}

}  // namespace

PageData& PageData::text(const std::string& name, std::string_view value) {
  values_[name] = escape_html(plain_text(value, 4000));
  return *this;
}

PageData& PageData::html(const std::string& name, std::string markup) {
  values_[name] = std::move(markup);
  return *this;
}

PageData& PageData::flag(const std::string& name, bool on) {
  flags_[name] = on;
  return *this;
}

PageData& PageData::add(const std::string& name) {
  auto& list = lists_[name];
  list.emplace_back();
  return list.back();
}

std::string render_template(const std::filesystem::path& file, const PageData& page) {
  kainjow::mustache::mustache parsed(read_text(file));
  if (!parsed.is_valid())
    throw Error(ErrorKind::internal, display(file) + ": " + parsed.error_message());
  // Values were escaped when they were set.
  parsed.set_custom_escape([](const std::string& text) { return text; });
  return parsed.render(to_mustache(page));
}

}  // namespace rigproof
