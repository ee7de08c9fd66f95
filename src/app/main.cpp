#include <clocale>

#include "app/add_command.h"
#include "app/assess_command.h"
#include "app/audit_command.h"
#include "app/bundle_command.h"
#include "app/command.h"
#include "app/explain_command.h"
#include "app/look_command.h"
#include "app/new_command.h"
#include "app/plan_command.h"
#include "app/redo_command.h"
#include "app/report_command.h"
#include "app/rigs_command.h"
#include "app/seal_command.h"
#include "app/selftest_command.h"
#include "app/simulate_command.h"
#include "app/trend_command.h"
#include "app/watch_command.h"

int main(int argc, char** argv) {
  std::setlocale(LC_ALL, "C");  // numbers are read and written with a point, whatever the locale
  using namespace rigproof;
  return run_command_line({demo_command(),
                           look_command(),
                           assess_command(),
                           report_command(),
                           explain_command(),
                           simulate_command(),
                           selftest_command(),
                           add_command(),
                           new_command(),
                           plan_command(),
                           watch_command(),
                           trend_command(),
                           rigs_command(),
                           seal_command(),
                           audit_command(),
                           bundle_command(),
                           redo_command()},
                          argc,
                          argv);
}
