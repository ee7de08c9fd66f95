#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "report/context.h"
#include "report/page_template.h"

namespace rigproof {

/// The styles in one element of a page without scripts, {{{style}}}, and the
/// Content-Security-Policy that lets in nothing but it, {{{policy}}}.
void add_styles(PageData& page,
                const std::filesystem::path& assets,
                const std::vector<std::string>& styles);

/// One self-contained page: the template's body between a head whose Content-Security-Policy allows
/// nothing but the styles and scripts given here, by hash, and images within the file. Every text
/// of the language file is known to the template as t_<key> with . and - written as _.
std::string html_page(const ReportContext& context,
                      const std::string& template_name,
                      const std::vector<std::string>& styles,
                      const std::vector<std::string>& scripts,
                      PageData& page);

}  // namespace rigproof
