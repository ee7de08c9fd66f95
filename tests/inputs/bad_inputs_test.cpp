#include <chrono>

#include <sys/stat.h>
#include <unistd.h>

#include "inputs/issuer.h"
#include "inputs/scratch_folder.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

struct Bad {
  std::string text;
  const char* place;   ///< line:column of the slip
  const char* phrase;  ///< part of the message
};

/// Every text must be refused with "file:line:column: …phrase…".
template <class Load>
void refuse_each(Load load, const std::vector<Bad>& table) {
  const ScratchFolder folder;
  for (const Bad& bad : table) {
    const auto file = folder.write("bad.toml", bad.text);
    const std::string what = refusal([&] { load(file); });
    const std::string start = file.string() + ":" + bad.place + ": ";
    EXPECT_TRUE(what.starts_with(start)) << bad.text << "\n  gives: " << what;
    EXPECT_NE(what.find(bad.phrase), std::string::npos) << bad.text << "\n  gives: " << what;
  }
}

const std::string kBar =
    "kind = \"bar\"\n"                                                                    // 1
    "serial = \"7\"\n"                                                                    // 2
    "balls = [ { id = \"A\", mm = 30, U_um = 1 }, { id = \"B\", mm = 30, U_um = 1 } ]\n"  // 3
    "distances = [ { from = \"A\", to = \"B\", mm = 250, U_um = 1 } ]\n";                 // 4

std::string bar_with(const std::string& find, const std::string& replacement) {
  std::string text = kBar;
  const auto at = text.find(find);
  EXPECT_NE(at, std::string::npos) << find;
  return text.replace(at, find.size(), replacement);
}

TEST(BadInput, ArtefactsSayWhereAndWhat) {
  ASSERT_NO_THROW(load_artefact(ScratchFolder().write("good.toml", kBar)));
  refuse_each(
      load_artefact,
      {{"", "1:1", "\"kind\" is missing"},
       {"kind = \"baar\"\nserial = \"1\"\n", "1:8", "\"kind\" is \"baar\""},
       {"kind = 3\n", "1:8", "\"kind\" must be a text, not a number"},
       {bar_with("serial", "serail"), "2:1", "unknown key \"serail\""},
       {bar_with("\"7\"", "\"a/b\""), "2:10", "without a slash"},
       {bar_with("\"7\"", "\"..\""), "2:10", "begin with neither dot"},
       {bar_with("\"7\"", "\"\""), "2:10", "name of 1 to 120 bytes"},
       {bar_with("mm = 30", "mm = -30"), "3:28", "\"balls[0].mm\" is -30"},
       {bar_with("mm = 30", "mm = 0"), "3:28", "more than 0"},
       {bar_with("mm = 30", "mm = 1e9"), "3:28", "at most 5000"},
       {bar_with("mm = 30", "mm = nan"), "3:28", "not a finite number"},
       {bar_with("mm = 30", "mm = inf"), "3:28", "not a finite number"},
       {bar_with("mm = 30", "mm = \"30\""), "3:28", "must be a number, not a text"},
       {bar_with("mm = 30, ", ""), "3:11", "\"balls[0].mm\" is missing"},
       {bar_with("mm = 30, ", "m = 30, "), "3:23", "unknown key \"balls[0].m\""},
       {bar_with("U_um = 1", "U_um = -1"), "3:39", "\"balls[0].U_um\" is -1"},
       {bar_with("U_um = 1", "U_um = 5000"), "3:39", "more than a tenth"},
       {bar_with("U_um = 1", "U_um = 1, U_mm = 0.001"), "3:49", "say the same thing twice"},
       {bar_with("id = \"B\"", "id = \"A\""), "3:51", "ball \"A\" is listed twice"},
       {bar_with("to = \"B\"", "to = \"C\""), "4:34", "there is no ball \"C\""},
       {bar_with("to = \"B\"", "to = \"A\""), "4:34", "to itself"},
       {bar_with("mm = 250", "mm = 25"), "4:44", "overlap"},
       {bar_with("mm = 250", "mm = 0"), "4:44", "more than 0"},
       {bar_with("distances", "distance"), "4:1", "unknown key \"distance\""},
       {kBar + "distances = []\n", "5:13", "distances"},
       {kBar + "[distances]\n", "5:1", "distances"},
       {kBar + "k = 0.5\n", "5:5", "\"k\" is 0.5: it must be at least 1"},
       {kBar + "date = 2026-01-31\ndue = 2025-01-31\n", "6:7", "before the calibration"},
       {kBar + "date = \"soon\"\n", "5:8", "not a date"},
       {kBar + "date = 2026-01-31T10:00:00\n", "5:8", "must be a date, not a time"},
       {kBar + "due = 2026-02-30\n", "5:17", "day"},
       {kBar + "material = \"unobtainium\"\n", "5:12", "expansion of \"unobtainium\" is not known"},
       {kBar + "alpha_ppm_K = 1e3\n", "5:15", "at most 200"},
       {kBar + "u_alpha_ppm_K = -1\n", "1:1", "negative"},
       {kBar + "reference_C = 300\n", "5:15", "at most 100"},
       {kBar + "coating_um = -2\n", "5:14", "at least 0"},
       {kBar + "holder = { axis = [0, 0, 0], half_angle_deg = 10 }\n", "5:19", "no direction"},
       {kBar + "holder = { axis = [0, 1], half_angle_deg = 10 }\n", "5:19", "has 2 numbers"},
       {kBar + "holder = { axis = [0, 1, 0], half_angle_deg = 95 }\n", "5:47", "at most 90"},
       {kBar + "serial = \"8\"\n", "5:10", "serial"},
       {kBar + "flatness = { um = 1, U_um = 1 }\n", "5:1", "unknown key \"flatness\""},
       {"kind = \"bar\"\nserial = \"7\"\nballs = [ { id = \"A\", mm = 30, U_um = 1 } ]\n",
        "3:9",
        "needs two balls"},
       {"kind = \"ball\"\nserial = \"7\"\ndiameter = 30\n", "3:12", "must be a table"},
       {"kind = \"ball\"\nserial = \"7\"\ndiameter = { mm = 30 }\n",
        "3:12",
        "\"diameter.U_um\" is missing"},
       {"kind = \"plate\"\nserial = \"7\"\nsize_mm = [300, 0]\nflatness = { um = 1, U_um = 1 }\n",
        "3:17",
        "more than 0"},
       {"kind = \"plate\"\nserial = \"7\"\nsize_mm = [300, 200, 5]\n", "3:11", "it must have 2"},
       {"kind = \"plate\"\nserial = \"7\"\nsize_mm = [300, 20]\nborder_mm = 10\n",
        "4:13",
        "leaves nothing"},
       {"kind = \"plate\"\nserial = \"7\"\nsize_mm = [300, 200]\n",
        "1:1",
        "\"flatness\" is missing"}});
}

TEST(BadInput, DistancesThatNoBallsCanHave) {
  const std::string text =
      "kind = \"bar\"\nserial = \"7\"\n"
      "balls = [ { id = \"A\", mm = 20, U_um = 1 }, { id = \"B\", mm = 20, U_um = 1 },\n"
      "          { id = \"C\", mm = 20, U_um = 1 } ]\n"
      "distances = [ { from = \"A\", to = \"B\", mm = 100, U_um = 1 },\n"
      "              { from = \"B\", to = \"C\", mm = 100, U_um = 1 },\n";
  refuse_each(
      load_artefact,
      {{text + "{ from = \"A\", to = \"C\", mm = 210, U_um = 1 } ]\n", "5:13", "contradict"},
       {text + "{ from = \"B\", to = \"A\", mm = 100, U_um = 1 } ]\n", "7:10", "listed twice"}});
  const ScratchFolder folder;
  EXPECT_NO_THROW(load_artefact(
      folder.write("good.toml", text + "{ from = \"A\", to = \"C\", mm = 200.001, U_um = 1 } ]\n")))
      << "three balls in a row";
}

TEST(BadInput, RigsSayWhereAndWhat) {
  const std::string id = "id = \"R1\"\n";
  const std::string field = "[[field]]\nname = \"300\"\n";
  const std::string stereo = "[stereo]\nbaseline_mm = 300\nfocal_px = 3500\n";
  refuse_each(
      load_rig,
      {{"units = \"mm\"\n", "1:1", "\"id\" is missing"},
       {id + "units = \"furlong\"\n", "2:9", "unknown unit \"furlong\""},
       {id + "export = \"mash\"\n", "2:10", "\"export\" is \"mash\""},
       {id + "axes = \"left down away\"\n", "2:8", "mirror"},
       {id + "axes = \"right down right\"\n", "2:8", "same line"},
       {id + "axes = \"right down awya\"\n", "2:8", "unknown word \"awya\""},
       {id + "axes = \"right down\"\n", "2:8", "three words"},
       {id + "transform = [[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, -1, 0], [0, 0, 0, 1]]\n",
        "2:13",
        "mirrors"},
       {id + "transform = [[2, 0, 0, 0], [0, 2, 0, 0], [0, 0, 2, 0], [0, 0, 0, 1]]\n",
        "2:13",
        "not rigid"},
       {id + "transform = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]\n", "2:13", "4 rows of 4"},
       {id + "axes = \"right down away\"\ntransform = []\n", "3:13", "twice"},
       {id + "lens_locked = \"yes\"\n", "2:15", "must be true or false, not a text"},
       {id + "[field]\nname = \"300\"\n", "2:1", "must be a list of them"},
       {id + field, "2:1", "size_mm\" is missing"},
       {id + field + "size_mm = [300, 200, -1]\nmiddle_mm = 600\n", "4:22", "more than 0"},
       {id + field + "size_mm = [300, 200, 150]\nmiddle_mm = 60\n", "5:13", "behind the rig"},
       {id + field + "size_mm = [300, 200, 150]\nmidle_mm = 600\n", "5:1", "unknown key"},
       {id + field +
            "near = { z = 5, width = 1, height = 1 }\nfar = { z = 4, width = 1, height = "
            "1 }\n",
        "5:7",
        "not beyond"},
       {id + field + "size_mm = [3, 2, 1]\nmiddle_mm = 6\n" + field +
            "size_mm = [3, 2, 1]\nmiddle_mm = 6\n",
        "7:8",
        "listed twice"},
       {id + stereo + "image_px = [2448, 2048]\n", "2:1", "\"stereo.aim_mm\" is missing"},
       {id + stereo + "image_px = [2448.5, 2048]\naim_mm = 600\n", "5:12", "whole numbers"},
       {id + stereo + "image_px = [2448, 2048]\naim_mm = 600\ntoe_in_deg = [1, 1]\n",
        "7:14",
        "twice"},
       {id + stereo + "image_px = [2448, 2048]\naim_mm = 600\nbord = 1\n", "7:1", "unknown key"},
       {id + "[noise]\nsd_um = 0\n", "3:9", "more than 0"},
       {id + "[noise]\nsd_um = 3\narea_px = 25\nlags = [0.8, 1.6]\n", "5:14", "at most 1"}});
}

TEST(BadInput, LimitsSayWhereAndWhat) {
  refuse_each(
      load_limits,
      {{"rule = \"strict\"\n", "1:8", "\"rule\" is \"strict\""},
       {"rule = \"guarded\"\n", "1:1", "\"w_mm\" is missing"},
       {"w_mm = 0.01\n", "1:8", "belongs to rule"},
       {"[mm]\nprobing_from = 0.03\n", "2:1", "unknown key \"mm.probing_from\""},
       {"[mm]\nprobing_form = 0\n", "2:16", "more than 0"},
       {"[mm]\nflatness = { A = 0.01, K = 15000 }\n", "2:12", "has no length"},
       {"[mm]\nsphere_spacing = { A = 0.01, K = 0 }\n", "2:34", "at least 100"},
       {"[mm]\nsphere_spacing = { A = -1, K = 1000 }\n", "2:24", "at least 0"},
       {"rule = \"guarded\"\nw_mm = 0.03\n[mm]\nflatness = 0.03\n", "4:12", "leaves nothing"},
       {"mm = 0.03\n", "1:6", "must be a table"}});
}

TEST(BadInput, ProceduresSayWhereAndWhat) {
  const std::string head = "[characteristics]\nflatness = { allowance = 0.003 }\n";
  const std::string at = "[[position]]\nid = \"P01\"\nartefact = \"bar\"\nat = [0, 0, 0]\n";
  refuse_each(
      load_procedure,
      {{"title = \"x\"\n", "1:1", "\"characteristics\" is missing"},
       {"[characteristics]\n", "1:1", "no characteristic"},
       {"[characteristics]\nflatnes = { }\n", "2:1", "unknown key"},
       {"[characteristics]\nflatness = { allowance = 0.5 }\n", "2:26", "at most 0.2"},
       {"[characteristics]\nflatness = { confidence = \"Q\" }\n", "2:27", "\"Q\""},
       {head + "[zones]\ncap_half_angle_deg = 0\n", "4:22", "at least 10"},
       {head + "[zones]\nmax_rounds = 2.5\n", "4:14", "whole number"},
       {head + "[gates]\nmin_cap_deg = 40\nwarn_cap_deg = 35\n", "5:16", "below min_cap_deg"},
       {head + "[demand]\nbar = 2\n" + at + "along = [1, 0, 0]\n", "5:1", "demands 2 positions"},
       {head + "[demand]\nclosing_repeat = true\n" + at + "along = [1, 0, 0]\n", "5:1", "closing"},
       {"patches = [1, 2.5]\n" + head, "1:11", "whole numbers"},
       {"proven_probability = 0.5\n" + head, "1:22", "more than 0.5"},
       {"proven_probability = 95\n" + head, "1:22", "at most 0.999999"},
       {"retest_repeats = 0\n" + head, "1:18", "at least 1"},
       {head + "[artefacts]\nball = [0.2, 0.1]\n", "4:8", "below the smallest"},
       {head + "[marks]\nzones = \"X\"\n", "4:9", "\"X\""},
       {head + at, "3:1", "needs \"along\""},
       {head + at + "along = [0, 0, 0]\n", "7:9", "no length"},
       {head + "[[position]]\nid = \"P01\"\nartefact = \"ball\"\nat = [0, 0, 1.5]\n",
        "6:13",
        "at most 1"},
       {head + at + "along = [1, 0, 0]\n" + at + "along = [1, 0, 0]\n", "9:6", "listed twice"},
       {head + at + "along = [1, 0, 0]\nrepeats = \"P09\"\n", "8:11", "no earlier bar position"}});
}

TEST(BadInput, IssuerSaysWhereAndWhat) {
  refuse_each(load_issuer,
              {{"", "1:1", "\"name\" is missing"},
               {"name = \"x\"\npaper = \"A3\"\n", "2:9", "\"paper\" is \"A3\""},
               {"name = \"x\"\nlanguages = [\"english\"]\n", "2:13", "two-letter"}});
}

TEST(BadInput, TextThatIsNoToml) {
  const std::string deep_list = "id = " + std::string(100'000, '[');
  std::string deep_key = "a";
  for (int i = 0; i < 100'000; ++i) deep_key += ".a";
  // A quote of its own before the three that end a text hides nothing of what follows.
  const std::string behind_quotes = "x = { k = \"\"\"a\"\"\"\"\", " + deep_key + " = 1 }\n";
  const std::string behind_ticks = "x = { k = '''a'''', " + deep_key + " = 1 }\n";
  refuse_each(load_rig,
              {{"id = \n", "1:6", ""},
               {"id = \"R1\nunits = \"mm\"\n", "1:9", ""},
               {"id = \"R1\"\r\nid = \"R2\"\r\n", "2:6", "redefine"},
               {"id = \"\xff\xfe\"\n", "1:6", "utf-8"},
               {std::string("id = \"R1\"\n\0\1\n", 13), "2:1", ""},
               {deep_list, "1:38", "deeper than 32"},
               {deep_key + " = 1\n", "1:64", "deeper than 32"},
               {"[" + deep_key + "]\n", "1:65", "deeper than 32"},
               {"id = { " + deep_key + " = 1 }\n", "1:71", "deeper than 32"},
               {behind_quotes, "1:85", "deeper than 32"},
               {behind_ticks, "1:84", "deeper than 32"},
               {"id = \"a\\u0007b\"\n", "1:6", "control character"},
               {"id = \"\"\"a\nb\"\"\"\n", "1:6", "control character"},
               {"id = \"" + std::string(3000, 'x') + "\"\n", "1:6", "3000 bytes"}});
}

TEST(BadInput, ByteOrderMarkAndWindowsLineEndsAreRead) {
  const ScratchFolder folder;
  EXPECT_EQ(
      load_rig(folder.write("rig.toml", "\xEF\xBB\xBFid = \"R1\"\r\nunits = \"cm\"\r\n")).unit_mm,
      10);
}

TEST(BadInput, WhatIsNoReadableFile) {
  const ScratchFolder folder;
  const auto missing = [&](const std::filesystem::path& file) {
    return refusal([&] { load_rig(file); }, ErrorKind::missing);
  };
  EXPECT_NE(missing(folder / "none.toml").find("none.toml"), std::string::npos);
  EXPECT_NE(missing(folder.path()).find("folder"), std::string::npos);
  ASSERT_EQ(::mkfifo((folder / "fifo.toml").c_str(), 0600), 0);
  EXPECT_NE(missing(folder / "fifo.toml").find("not a regular file"), std::string::npos);
  EXPECT_NE(missing("/dev/zero").find("not a regular file"), std::string::npos);

  const auto huge = folder.write("huge.toml", "");
  std::filesystem::resize_file(huge, 1ull << 36);  // a hole: takes no room on the disk
  EXPECT_NE(refusal([&] { load_rig(huge); }).find("bytes"), std::string::npos);
}

TEST(BadInput, UnknownKeysNameTheNearest) {
  const ScratchFolder folder;
  try {
    load_limits(folder.write("l.toml", "[mm]\nprobing_from = 0.03\n"));
    FAIL();
  } catch (const Error& error) {
    EXPECT_NE(error.next_step().find("Did you mean \"probing_form\"?"), std::string::npos)
        << error.next_step();
  }
}

// All distances of a large plate, each given: comparing each with each would take minutes.
TEST(BadInput, APlateWithAllItsDistancesIsReadAtOnce) {
  constexpr int kBalls = 150;
  std::string text = "kind = \"bar\"\nserial = \"7\"\nballs = [\n";
  for (int i = 0; i < kBalls; ++i)
    text += "{ id = \"" + std::to_string(i) + "\", mm = 10, U_um = 1 },\n";
  text += "]\ndistances = [\n";
  for (int i = 0; i < kBalls; ++i)
    for (int j = 0; j < i; ++j)
      text += "{ from = \"" + std::to_string(j) + "\", to = \"" + std::to_string(i) +
              "\", mm = " + std::to_string(20 * (i - j)) + ", U_um = 1 },\n";
  const ScratchFolder folder;
  const auto file = folder.write("plate.toml", text + "]\n");
  const auto start = std::chrono::steady_clock::now();
  EXPECT_EQ(load_artefact(file).distances.size(), kBalls * (kBalls - 1) / 2);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(30));
}

}  // namespace
}  // namespace rigproof
