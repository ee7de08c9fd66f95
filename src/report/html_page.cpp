#include "report/html_page.h"

#include <algorithm>

#include "base/error.h"
#include "base/input_file.h"
#include "report/assets.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

void add_texts(PageData& page, const Language& language) {
  for (const auto& [key, text] : language.texts()) {
    std::string name = "t_" + key;
    std::ranges::replace(name, '.', '_');
    std::ranges::replace(name, '-', '_');
    page.text(name, text);
  }
}

// A script may not hold what would end its element early.
std::string checked(const std::string& script) {
  if (script.find("</script") != std::string::npos || script.find("<!--") != std::string::npos)
    throw Error(ErrorKind::internal, "report: a script holds text that would end it early");
  return script;
}

std::string joined(const std::filesystem::path& assets, const std::vector<std::string>& styles) {
  std::string out;
  for (const std::string& name : styles) out += read_text(assets / "styles" / name);
  return out;
}

}  // namespace

void add_styles(PageData& page,
                const std::filesystem::path& assets,
                const std::vector<std::string>& styles) {
  const std::string style = joined(assets, styles);
  page.html("style", style);
  page.html("policy",
            "default-src 'none'; style-src " + policy_hash(style) +
                "; base-uri 'none'; form-action 'none'");
}

std::string html_page(const ReportContext& context,
                      const std::string& template_name,
                      const std::vector<std::string>& styles,
                      const std::vector<std::string>& scripts,
                      PageData& page) {
  add_texts(page, context.language);
  page.text("language", context.language.code());
  const std::string style = joined(context.assets, styles);
  std::string script_elements, script_hashes;
  for (const std::string& script : scripts) {
    script_elements += "<script>" + checked(script) + "</script>\n";
    script_hashes += " " + policy_hash(script);
  }
  const std::string policy = "default-src 'none'; style-src " + policy_hash(style) +
                             "; script-src" + (scripts.empty() ? " 'none'" : script_hashes) +
                             "; img-src data:; base-uri 'none'; form-action 'none'";
  const std::string body = render_template(context.assets / "templates" / template_name, page);
  return "<!DOCTYPE html>\n<html lang=\"" + escape_html(context.language.code()) +
         "\"><head><meta charset=\"utf-8\">\n<meta http-equiv=\"Content-Security-Policy\" "
         "content=\"" +
         policy +
         "\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
         "<meta name=\"color-scheme\" content=\"light dark\"><meta name=\"referrer\" "
         "content=\"no-referrer\">\n<title>" +
         escape_html(plain_text(context.verdict(context.results.verdict) + " – " +
                                context.results.session.id)) +
         "</title>\n<style>" + style + "</style></head>\n<body>\n" + body + script_elements +
         "</body></html>\n";
}

}  // namespace rigproof
