#include "browser/browser.h"

#include <array>
#include <stdexcept>

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

namespace rigproof {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

constexpr char kProgram[] = "/usr/bin/chromium";
constexpr int kPatience_ms = 60'000;

std::string from_base64(const std::string& text) {
  std::string out;
  unsigned bits = 0, group = 0;
  for (const char c : text) {
    const int value = c >= 'A' && c <= 'Z'   ? c - 'A'
                      : c >= 'a' && c <= 'z' ? c - 'a' + 26
                      : c >= '0' && c <= '9' ? c - '0' + 52
                      : c == '+'             ? 62
                      : c == '/'             ? 63
                                             : -1;
    if (value < 0) continue;
    group = group << 6 | static_cast<unsigned>(value);
    if ((bits += 6) >= 8) out += static_cast<char>(group >> (bits -= 8) & 255);
  }
  return out;
}

// The pipe's ends are descriptors 3 and 4 in the browser.
[[noreturn]] void become_browser(int in, int out, const fs::path& profile) {
  const int quiet = ::open("/dev/null", O_RDWR);
  const int high_in = ::fcntl(in, F_DUPFD, 10), high_out = ::fcntl(out, F_DUPFD, 10);
  for (const int fd : {0, 1, 2}) ::dup2(quiet, fd);
  ::dup2(high_in, 3);
  ::dup2(high_out, 4);
  ::setenv("HOME", profile.c_str(), 1);
  const std::string folder = "--user-data-dir=" + profile.string();
  // Drawn by the processor: the same pictures on every machine.
  const std::array arguments{kProgram,
                             "--headless",
                             "--no-sandbox",
                             "--use-angle=swiftshader",
                             "--enable-unsafe-swiftshader",
                             "--disable-dev-shm-usage",
                             "--hide-scrollbars",
                             "--disable-background-networking",
                             "--disable-component-update",
                             "--no-first-run",
                             "--remote-debugging-pipe",
                             folder.c_str(),
                             "about:blank",
                             static_cast<const char*>(nullptr)};
  ::execv(kProgram, const_cast<char* const*>(arguments.data()));
  ::_exit(127);
}

}  // namespace

bool Browser::installed() { return ::access(kProgram, X_OK) == 0; }

Browser::Browser() {
  profile_ = fs::temp_directory_path() / ("browser_" + std::to_string(::getpid()));
  fs::create_directories(profile_);
  int down[2], up[2];
  if (::pipe2(down, O_CLOEXEC) != 0 || ::pipe2(up, O_CLOEXEC) != 0)
    throw std::runtime_error("no pipe");
  process_ = ::fork();
  if (process_ == 0) become_browser(down[0], up[1], profile_);
  ::close(down[0]);
  ::close(up[1]);
  to_ = down[1];
  from_ = up[0];
  const Json target = call("Target.createTarget", {{"url", "about:blank"}});
  const Json attached =
      call("Target.attachToTarget", {{"targetId", target["targetId"]}, {"flatten", true}});
  session_ = attached["sessionId"];
  for (const char* domain : {"Page", "Runtime", "Log", "Network"})
    call(std::string(domain) + ".enable");
}

Browser::~Browser() {
  ::close(to_);
  ::close(from_);
  ::kill(process_, SIGKILL);
  ::waitpid(process_, nullptr, 0);
  std::error_code ec;
  fs::remove_all(profile_, ec);
}

Json Browser::next_message() {
  for (;;) {
    if (const std::size_t end = buffer_.find('\0'); end != std::string::npos) {
      const Json message = Json::parse(buffer_.substr(0, end));
      buffer_.erase(0, end + 1);
      return message;
    }
    pollfd wait{from_, POLLIN, 0};
    if (::poll(&wait, 1, kPatience_ms) <= 0) throw std::runtime_error("the browser is silent");
    std::array<char, 1 << 16> block;
    const ssize_t n = ::read(from_, block.data(), block.size());
    if (n <= 0) throw std::runtime_error("the browser has gone");
    buffer_.append(block.data(), static_cast<std::size_t>(n));
  }
}

Json Browser::call(const std::string& method, const Json& parameters) {
  Json message{{"id", ++id_}, {"method", method}};
  message["params"] = parameters.is_null() ? Json::object() : parameters;
  if (!session_.empty()) message["sessionId"] = session_;
  const std::string text = message.dump() + '\0';
  for (std::size_t done = 0; done < text.size();) {
    const ssize_t n = ::write(to_, text.data() + done, text.size() - done);
    if (n <= 0) throw std::runtime_error("the browser does not listen");
    done += static_cast<std::size_t>(n);
  }
  for (;;) {
    const Json answer = next_message();
    if (!answer.contains("id")) {
      note(answer);
    } else if (answer["id"] == id_) {
      if (answer.contains("error")) throw std::runtime_error(method + ": " + answer.dump());
      return answer["result"];
    }
  }
}

void Browser::note(const Json& event) {
  const std::string method = event["method"];
  const Json& p = event["params"];
  if (method == "Page.loadEventFired") loaded_ = true;
  if (method == "Network.requestWillBeSent") {
    const std::string address = p["request"]["url"];
    if (address != page_ && !address.starts_with("data:")) requests.push_back(address);
  }
  if (method == "Runtime.exceptionThrown") problems.push_back(p["exceptionDetails"].dump());
  if (method == "Log.entryAdded" && p["entry"]["level"] != "verbose")
    problems.push_back(p["entry"].dump());
  if (method == "Runtime.consoleAPICalled" && (p["type"] == "error" || p["type"] == "warning"))
    problems.push_back(p["args"].dump());
}

void Browser::open(const fs::path& file, const Window& window) {
  page_ = "file://" + fs::absolute(file).string();
  requests.clear();
  problems.clear();
  call("Emulation.setDeviceMetricsOverride",
       {{"width", window.width},
        {"height", window.height},
        {"deviceScaleFactor", window.pixels},
        {"mobile", window.width < 500}});
  darken(window.dark);
  loaded_ = false;
  call("Page.navigate", {{"url", page_}});
  while (!loaded_) note(next_message());
  // Two frames: the volume is drawn in the first.
  value("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))");
}

void Browser::darken(bool dark) {
  const Json scheme{{"name", "prefers-color-scheme"}, {"value", dark ? "dark" : "light"}};
  call("Emulation.setEmulatedMedia", {{"features", Json::array({scheme})}});
}

Json Browser::value(const std::string& expression) {
  const Json answer =
      call("Runtime.evaluate",
           {{"expression", expression}, {"returnByValue", true}, {"awaitPromise", true}});
  if (answer.contains("exceptionDetails"))
    throw std::runtime_error(answer["exceptionDetails"].dump());
  return answer["result"].value("value", Json());
}

void Browser::mouse(const char* type, double x, double y, int buttons, int clicks) {
  call("Input.dispatchMouseEvent",
       {{"type", type},
        {"x", x},
        {"y", y},
        {"button", clicks ? "left" : "none"},
        {"buttons", buttons},
        {"clickCount", clicks}});
}

void Browser::move(double x, double y) { mouse("mouseMoved", x, y, 0, 0); }

void Browser::click(double x, double y) {
  move(x, y);
  mouse("mousePressed", x, y, 1, 1);
  mouse("mouseReleased", x, y, 0, 1);
}

void Browser::press(const std::string& key, int modifiers) {
  Json event{{"type", "keyDown"}, {"key", key}, {"code", key}, {"modifiers", modifiers}};
  if (key == "Tab") event["windowsVirtualKeyCode"] = 9;
  if (key == "Escape") event["windowsVirtualKeyCode"] = 27;
  if (key == "Enter") {
    event["windowsVirtualKeyCode"] = 13;
    event["text"] = "\r";
  }
  call("Input.dispatchKeyEvent", event);
  event["type"] = "keyUp";
  call("Input.dispatchKeyEvent", event);
}

std::string Browser::screenshot() {
  return from_base64(call("Page.captureScreenshot", {{"format", "png"}})["data"]);
}

std::string Browser::print() {
  return from_base64(
      call("Page.printToPDF", {{"preferCSSPageSize", true}, {"printBackground", true}})["data"]);
}

}  // namespace rigproof
