#include <clocale>

#include "app/assess_command.h"
#include "app/command.h"
#include "app/look_command.h"

int main(int argc, char** argv) {
  std::setlocale(LC_ALL, "C");  // numbers are read and written with a point, whatever the locale
  return rigproof::run_command_line(
      {rigproof::look_command(), rigproof::assess_command()}, argc, argv);
}
