#include <chrono>

#include "inputs/scratch_folder.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

void fill(const ScratchFolder& folder, const std::string& id, const std::string& more = {}) {
  folder.write("session.toml",
               more + "schema = 1\nid = \"" + id + "\"\nrig = \"R12\"\nfield = \"300\"\n");
  folder.write("rig.toml", text_of(fixtures() / "rigs" / "R12.toml"));
  folder.write("procedure.toml", text_of(fixtures() / "procedures" / "half-hour.toml"));
  folder.write("scans/scan007.stl", "");
}

// Without `date` the day is that of the id, which copying keeps, else that of the newest scan; it
// is never written down as if somebody had said it.
TEST(SessionDay, AnUndatedSessionIsDatedByItsIdOrItsScans) {
  const ScratchFolder folder;
  fill(folder, "2026-03-14-R12-300-acceptance");
  const Session by_id = load_session(folder.path());
  EXPECT_FALSE(by_id.date);
  ASSERT_TRUE(by_id.assumed_date);
  EXPECT_EQ(by_id.assumed_date->from, "id");
  EXPECT_EQ(by_id.test_date(), parse_date("2026-03-14"));
  EXPECT_EQ(to_toml(by_id).find("date ="), std::string::npos);

  fill(folder, "R12-spring");
  folder.write("scans/older.stl", "");
  const auto written = [&](const char* file, const char* day) {
    const std::chrono::sys_seconds at =
        std::chrono::sys_days(parse_date(day)) + std::chrono::hours(23);
    fs::last_write_time(folder / file, std::chrono::file_clock::from_sys(at));
  };
  written("scans/scan007.stl", "2026-05-02");
  written("scans/older.stl", "2026-05-01");
  const Session by_scans = load_session(folder.path());
  ASSERT_TRUE(by_scans.assumed_date);
  EXPECT_EQ(by_scans.assumed_date->from, "scans");
  EXPECT_EQ(by_scans.test_date(), parse_date("2026-05-02"));

  written("scans/scan007.stl", "1970-01-01");
  written("scans/older.stl", "1980-01-01");  // what archives write that know no time
  EXPECT_FALSE(load_session(folder.path()).test_date());

  fill(folder, "2026-03-14-R12", "date = 2026-03-15\n");
  EXPECT_EQ(load_session(folder.path()).test_date(), parse_date("2026-03-15"));
  EXPECT_FALSE(load_session(folder.path()).assumed_date);
}

}  // namespace
}  // namespace rigproof
