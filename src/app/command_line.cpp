#include <algorithm>
#include <clocale>
#include <exception>
#include <filesystem>
#include <iostream>
#include <stdexcept>

#include <CLI/App.hpp>
#include <CLI/Config.hpp>
#include <CLI/Formatter.hpp>
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "app/command.h"
#include "app/console.h"
#include "app/interrupt.h"
#include "base/error.h"
#include "base/input_file.h"
#include "base/version.h"
#include "inputs/near_name.h"

namespace rigproof {
namespace {

void bind(CLI::App& app, const Option& option) {
  CLI::Option* bound = std::visit(
      [&](auto* target) -> CLI::Option* {
        using T = std::remove_pointer_t<decltype(target)>;
        if constexpr (std::is_same_v<T, bool>)
          return app.add_flag(option.name, *target, option.help);
        else
          return app.add_option(option.name, *target, option.help);
      },
      option.into);
  if (!option.value.empty()) bound->type_name(option.value);
  if (option.required) bound->required();
  if (option.values > 1)
    bound->expected(option.values);
  else if (option.name.starts_with('-'))
    bound->allow_extra_args(false);  // a list takes one value each time, not the next positional
}

void add_common(CLI::App& app, Console& console) {
  app.add_flag("--json", console.json, "one JSON document on standard output and nothing else");
  app.add_flag("--quiet", console.quiet, "only the result and problems");
  app.add_flag("--verbose", console.verbose, "say more while working");
  app.add_option("--color", console.color, "colours on the terminal")
      ->type_name("auto|always|never")
      ->check(CLI::IsMember({"auto", "always", "never"}));
}

std::string footer(const Command& command) {
  std::string text = "Examples:\n";
  for (const auto& example : command.examples) text += "  " + example + "\n";
  return text + "\nExit codes: " + command.exit_codes;
}

int report(const Console& console, const Error& error) {
  console.problem("rigproof: " + safe(error.what()));
  if (!error.next_step().empty()) console.problem("  " + safe(error.next_step()));
  return static_cast<int>(error.kind());
}

/// What the system refused while folders were walked.
Error as_error(const std::filesystem::filesystem_error& error) {
  static constexpr std::errc kUnreachable[] = {std::errc::permission_denied,
                                               std::errc::no_such_file_or_directory,
                                               std::errc::not_a_directory,
                                               std::errc::filename_too_long,
                                               std::errc::too_many_symbolic_link_levels};
  const bool missing =
      std::ranges::any_of(kUnreachable, [&](std::errc code) { return error.code() == code; });
  return {
      missing ? ErrorKind::missing : ErrorKind::io,
      (error.path1().empty() ? "a folder" : display(error.path1())) + ": " + error.code().message(),
      "Check the name and that you may read it, then run again."};
}

int run_guarded(const Command& command, Console& console) {
  catch_interrupts();
  try {
    return command.run(console);
  } catch (const Interrupted& stop) {
    console.problem("rigproof: stopped; nothing was left half-written");
    return 128 + stop.signal;
  } catch (const Error& error) {
    return report(console, error);
  } catch (const std::filesystem::filesystem_error& error) {
    return report(console, as_error(error));
  } catch (const std::bad_alloc&) {
    return report(console,
                  {ErrorKind::internal,
                   "not enough memory for this work",
                   "Close other programs or use a machine with more memory; nothing was written."});
  } catch (const std::exception& error) {
    return report(console,
                  {ErrorKind::internal,
                   fmt::format("internal error in '{}': {}", command.name, error.what()),
                   "Please report this with the command line and the scan."});
  }
}

std::vector<std::string> names_of(const std::vector<Command>& commands) {
  std::vector<std::string> out;
  for (const Command& command : commands) out.push_back(command.name);
  return out;
}

}  // namespace

int run_command_line(const std::vector<Command>& commands, int argc, const char* const* argv) {
  Console console;
  CLI::App app(
      "Proves with artefacts of known size whether the scans of a calibrated rig are right.",
      "rigproof");
  app.set_version_flag("--version", "rigproof " + version());
  app.require_subcommand(1);
  app.get_formatter()->column_width(34);
  app.footer(
      "Each command explains itself: rigproof COMMAND --help\nA first look:           rigproof "
      "demo");
  const std::string first = argc > 1 ? argv[1] : "";
  const std::vector<std::string> known = names_of(commands);
  const bool names_one = std::ranges::find(known, first) != known.end();
  if (!names_one && !first.empty() && !first.starts_with('-'))
    return report(console,
                  {ErrorKind::usage,
                   "there is no command \"" + display(first) + "\"",
                   did_you_mean(first, known)});
  const Command* chosen = nullptr;
  for (const auto& command : commands) {
    CLI::App* sub = app.add_subcommand(command.name, command.purpose);
    for (const auto& option : command.options) bind(*sub, option);
    add_common(*sub, console);
    sub->footer(footer(command));
    sub->callback([&chosen, &command] { chosen = &command; });
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::Success& asked) {  // --help, --version
    try {
      app.exit(asked);
      if (!std::cout.flush()) throw std::runtime_error("standard output cannot be written");
      return 0;
    } catch (const std::exception& error) {
      console.problem(error.what());
      return static_cast<int>(ErrorKind::io);
    }
  } catch (const CLI::ParseError& error) {
    console.problem(fmt::format("rigproof: {}", safe(error.what())));
    console.problem(names_one ? "  See: rigproof " + first + " --help" : "  See: rigproof --help");
    return static_cast<int>(ErrorKind::usage);
  }
  return run_guarded(*chosen, console);
}

}  // namespace rigproof
