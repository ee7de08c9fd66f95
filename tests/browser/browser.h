#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

namespace rigproof {

/// A headless Chromium with one page, driven by the DevTools protocol over a pipe: no port, no
/// server. Everything that the page asks the network for and everything that it complains about is
/// kept.
class Browser {
 public:
  Browser();
  ~Browser();
  Browser(const Browser&) = delete;
  Browser& operator=(const Browser&) = delete;

  static bool installed();

  struct Window {
    int width = 1280, height = 900;  ///< CSS pixels
    bool dark = false;
    double pixels = 1;  ///< device pixels a CSS pixel
  };
  /// Opens a file of this machine and waits until it has settled.
  void open(const std::filesystem::path& file, const Window& window);
  void darken(bool dark);  ///< the colour scheme that the machine asks for
  /// The value of an expression in the page.
  nlohmann::json value(const std::string& expression);
  void click(double x, double y);
  void move(double x, double y);
  void press(const std::string& key, int modifiers = 0);
  std::string screenshot();  ///< PNG
  std::string print();       ///< PDF, with the page's own paper

  std::vector<std::string> requests;  ///< every address asked for except the page itself
  std::vector<std::string> problems;  ///< errors, warnings, exceptions, breaches of the policy

 private:
  nlohmann::json call(const std::string& method, const nlohmann::json& parameters = {});
  nlohmann::json next_message();
  void note(const nlohmann::json& event);
  void mouse(const char* type, double x, double y, int buttons, int clicks);

  int to_ = -1, from_ = -1, process_ = -1, id_ = 0;
  bool loaded_ = false;
  std::string buffer_, session_, page_;
  std::filesystem::path profile_;
};

}  // namespace rigproof
