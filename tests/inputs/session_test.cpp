#include "inputs/session.h"

#include <algorithm>
#include <chrono>

#include "inputs/scratch_folder.h"
#include "inputs/session_folder.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

// The page of the interface shows this file; every key of it is read.
const char* const kSession =
    "schema = 1\n"
    "id = \"2026-03-14-R12-300-acceptance\"\n"
    "kind = \"acceptance\"\n"
    "rig = \"R12\"\n"
    "field = \"300\"\n"
    "procedure = \"half-hour\"\n"
    "calibration = \"calibration/\"\n"
    "views_per_zone = { \"near-top-left\" = 4 }\n"
    "operator = \"…\"\n"
    "customer = \"…\"\n"
    "[environment]\n"
    "artefact_C = 21.3\n"
    "u_artefact_C = 0.2\n"
    "measured_on = \"artefact\"\n"
    "soaked_h = 2.0\n"
    "artefact_C_end = 21.5\n"
    "log = \"env.csv\"\n"
    "[[scan]]\n"
    "file = \"scans/scan007.stl\"\n"
    "artefact = \"bar-250-07\"\n"
    "place = \"far-top-left\"\n";

void fill(const ScratchFolder& folder, const std::string& session = kSession) {
  folder.write("session.toml", session);
  folder.write("rig.toml", text_of(fixtures() / "rigs" / "R12.toml"));
  folder.write("procedure.toml", text_of(fixtures() / "procedures" / "half-hour.toml"));
  folder.write("limits.toml", text_of(fixtures() / "limits" / "R12-agreed.toml"));
  folder.write("artefacts/bar-250-07.toml", text_of(fixtures() / "artefacts" / "bar-250-07.toml"));
  folder.write("calibration/cameras.txt", "1");
  folder.write("env.csv", "t,C\n");
  folder.write("scans/scan007.stl", "");
}

TEST(SessionFile, ThePublishedExampleIsReadWhole) {
  const ScratchFolder folder;
  fill(folder);
  const Session s = load_session(folder.path());
  EXPECT_EQ(s.id, "2026-03-14-R12-300-acceptance");
  ASSERT_TRUE(s.field());
  EXPECT_EQ(s.field()->name, "300");
  EXPECT_EQ(s.procedure.name, "half-hour");
  EXPECT_EQ(s.calibration, "calibration/");
  EXPECT_EQ(s.views_per_zone.at("near-top-left"), 4);
  EXPECT_EQ(s.environment.artefact_C, 21.3);
  EXPECT_EQ(s.environment.artefact_C_end, 21.5);
  EXPECT_EQ(s.environment.u_artefact_C, 0.2);
  EXPECT_EQ(s.environment.soaked_h, 2.0);
  EXPECT_EQ(s.environment.log, "env.csv");
  ASSERT_EQ(s.overrides.size(), 1u);
  EXPECT_EQ(s.overrides[0].artefact, "250-07") << "named by file, kept as the serial";
  EXPECT_EQ(s.overrides[0].place, "far-top-left");
  EXPECT_TRUE(s.limits_given && s.rig_given);
  EXPECT_TRUE(s.looked_up.empty()) << "complete in itself";
  EXPECT_FALSE(s.simulated);
}

TEST(SessionFile, SavedAndLoadedIsTheSame) {
  const ScratchFolder folder;
  fill(folder);
  Session s = load_session(folder.path());
  s.overrides.push_back({"scans/scan007.stl", "", "", {}, "", ""});
  s.overrides[1].file = "scans/b.ply";
  s.overrides[1].withdrawn = "bumped";
  s.overrides[1].transform.emplace();
  s.overrides[1].transform->fill(1.0 / 3);
  s.date = parse_date("2026-03-14");
  s.environment.artefact_C = 21.0 + 1.0 / 3;
  s.limits.guard_mm = 0;
  save_session(s);
  const Session back = load_session(folder.path());
  EXPECT_EQ(to_toml(back), to_toml(s));
  EXPECT_EQ(back.environment.artefact_C, s.environment.artefact_C);
  EXPECT_EQ(*back.overrides[1].transform, *s.overrides[1].transform);
  EXPECT_EQ(back.date, s.date);
}

TEST(SessionFile, SavingWhatIsUnchangedKeepsComments) {
  const ScratchFolder folder;
  fill(folder);
  const std::string rig = text_of(folder / "rig.toml"), session = text_of(folder / "session.toml");
  ASSERT_NE(rig.find("# An invented rig"), std::string::npos);
  Session s = load_session(folder.path());
  save_session(s);
  EXPECT_EQ(text_of(folder / "rig.toml"), rig);
  EXPECT_EQ(text_of(folder / "session.toml"), session);
  s.rig.filter = "median";
  save_session(s);
  EXPECT_NE(text_of(folder / "rig.toml"), rig);
  EXPECT_EQ(load_session(folder.path()).rig.filter, "median");
}

TEST(SessionFile, ANewFolderIsWrittenWhole) {
  const ScratchFolder folder;
  fill(folder);
  Session s = load_session(folder.path());
  s.folder = folder / "deep/copy";
  s.calibration = "board of 3 March";
  s.environment.log.clear();
  s.overrides.clear();
  save_session(s);
  const Session back = load_session(s.folder);
  EXPECT_EQ(to_toml(back), to_toml(s));
  EXPECT_EQ(back.artefacts.at(0).name, "bar-250-07");
  EXPECT_EQ(back.limits.name, s.limits.name);
}

TEST(SessionFile, ABareSessionHasNoVolumeButUnits) {
  const ScratchFolder folder;
  Session s;
  s.folder = folder / "bare";
  s.id = "bare";
  s.rig_given = false;
  s.rig.id = "unnamed";
  s.rig.units = "inch";
  s.rig.unit_mm = 25.4;
  s.procedure = load_procedure(fixtures() / "procedures" / "half-hour.toml");
  s.procedure.demand.closing_repeat = false;
  save_session(s);
  const Session back = load_session(s.folder);
  EXPECT_FALSE(back.rig_given);
  EXPECT_EQ(back.field(), nullptr);
  EXPECT_EQ(back.rig.unit_mm, 25.4);
  EXPECT_FALSE(back.procedure.demand.closing_repeat);
  EXPECT_FALSE(back.limits_given);
}

TEST(SessionFile, ScansInTheirOrderAndWhatIsSkippedIsNamed) {
  const ScratchFolder folder;
  for (const char* name : {"scan10.ply",
                           "scan9.ply",
                           "scan010.ply",
                           "Scan1.ply",
                           "a.xyz",
                           ".hidden",
                           "scan11.ply.part",
                           "scan12.ply~",
                           "~lock",
                           "sub/inside.ply"})
    folder.write(std::string("scans/") + name, "");
  const ScanListing listing = list_scans(folder.path());
  std::vector<std::string> names;
  for (const auto& scan : listing.scans) names.push_back(scan.filename().string());
  EXPECT_EQ(
      names,
      (std::vector<std::string>{"Scan1.ply", "a.xyz", "scan9.ply", "scan010.ply", "scan10.ply"}));
  EXPECT_EQ(listing.skipped.size(), 5u);
  for (const char* lost : {".hidden: hidden", "sub: a folder", "~lock: unfinished or temporary"})
    EXPECT_NE(std::ranges::find(listing.skipped, lost), listing.skipped.end()) << lost;
  EXPECT_EQ(skipped_file("a: b.tmp: unfinished or temporary").name, "a: b.tmp");
  EXPECT_EQ(skipped_file("a: b.tmp: unfinished or temporary").why, "unfinished or temporary");
}

TEST(SessionFile, OrderByNameIsAnOrder) {
  const std::vector<std::string> names{"",
                                       "0",
                                       "00",
                                       "01",
                                       "1",
                                       "1a",
                                       "2",
                                       "10",
                                       "a",
                                       "a0",
                                       "a1",
                                       "a01b",
                                       "a1b",
                                       "a2",
                                       "b",
                                       "18446744073709551616",
                                       "99999999999999999999"};
  for (const auto& a : names) {
    EXPECT_FALSE(before_by_name(a, a)) << a;
    for (const auto& b : names) {
      EXPECT_TRUE(a == b || before_by_name(a, b) != before_by_name(b, a)) << a << " " << b;
      for (const auto& c : names) {
        const bool chain = before_by_name(a, b) && before_by_name(b, c);
        EXPECT_TRUE(!chain || before_by_name(a, c)) << a << " " << b << " " << c;
      }
    }
  }
}

// ---- nothing outside the folder

struct Outside {
  ScratchFolder folder;
  fs::path secret, session;
  Outside() : secret(folder.write("secret.toml", text_of(fixtures() / "rigs" / "R12.toml"))) {
    session = folder / "s";
  }
  void fill(const std::string& text) const {
    folder.write("s/session.toml", text);
    folder.write("s/rig.toml", text_of(fixtures() / "rigs" / "R12.toml"));
    folder.write("s/procedure.toml", text_of(fixtures() / "procedures" / "half-hour.toml"));
    fs::create_directories(session / "scans");
    fs::create_directories(session / "artefacts");
  }
};

TEST(SessionFile, NoPathLeadsOut) {
  struct Case {
    const char* text;
    const char* place;
  };
  for (const Case& c :
       {Case{"field = \"300\"\ncalibration = \"../secret.toml\"\n", "2:15"},
        Case{"field = \"300\"\ncalibration = \"/etc\"\n", "2:15"},
        Case{"field = \"300\"\n[environment]\nlog = \"../secret.toml\"\n", "3:7"},
        Case{"field = \"300\"\n[environment]\nlog = \"/etc/passwd\"\n", "3:7"},
        Case{"field = \"300\"\n[[scan]]\nfile = \"scans/../../secret.toml\"\n", "3:8"}}) {
    const Outside o;
    o.fill(c.text);
    const std::string what = refusal([&] { load_session(o.session); });
    EXPECT_NE(what.find(c.place), std::string::npos) << what;
    EXPECT_NE(what.find("outside the session folder"), std::string::npos) << what;
  }
}

TEST(SessionFile, NoLinkLeadsOut) {
  for (const char* name : {"rig.toml",
                           "limits.toml",
                           "procedure.toml",
                           "artefacts/x.toml",
                           "scans/x.ply",
                           "calibration/x",
                           "session.toml"}) {
    const Outside o;
    o.fill("field = \"300\"\ncalibration = \"calibration\"\n");
    fs::create_directories(o.session / "calibration");
    fs::remove(o.session / name);
    fs::create_symlink(o.secret, o.session / name);
    const std::string what = refusal([&] { load_session(o.session); });
    EXPECT_NE(what.find("outside the session folder"), std::string::npos) << name << ": " << what;
  }
}

TEST(SessionFile, LinksInsideAndALinkToTheFolderAreFine) {
  const Outside o;
  o.fill("field = \"300\"\n");
  o.folder.write("s/scans/a.ply", "");
  fs::create_symlink("a.ply", o.session / "scans/b.ply");
  fs::create_directory_symlink(o.session, o.folder / "link");
  EXPECT_EQ(load_session(o.folder / "link").scans.size(), 2u);
}

TEST(SessionFile, SlipsSayWhere) {
  struct Case {
    const char* text;
    const char* place;
    const char* phrase;
  };
  for (const Case& c :
       {Case{"schema = 2\n", "1:10", "at most 1"},
        Case{"kind = \"acceptence\"\n", "1:8", "acceptence"},
        Case{"field = \"301\"\n", "1:9", "no field of view \"301\""},
        Case{"feild = \"300\"\n", "1:1", "unknown key"},
        Case{
            "field = \"300\"\nviews_per_zone = { \"near-top-lef\" = 4 }\n", "2:20", "near-top-lef"},
        Case{"field = \"300\"\n[environment]\nartefact_C = 210\n", "3:14", "at most 80"},
        Case{"field = \"300\"\n[environment]\nmeasured_on = \"air\"\n", "3:15", "air"},
        Case{"field = \"300\"\n[environment]\nlog = \"none.csv\"\n", "3:7", "no file"},
        Case{"field = \"300\"\n[[scan]]\nfile = \"scans/b.ply\"\n",
             "3:8",
             "no scan \"scans/b.ply\""},
        Case{"field = \"300\"\n[[scan]]\nfile = \"a.ply\"\nartefact = \"bar\"\n",
             "4:12",
             "no artefact"},
        Case{"field = \"300\"\n[[scan]]\nfile = \"a.ply\"\nplace = \"far-top-rigth\"\n",
             "4:9",
             "no zone"},
        Case{"field = \"300\"\n[[scan]]\nfile = \"a.ply\"\n[[scan]]\nfile = \"scans/a.ply\"\n",
             "5:8",
             "listed twice"}}) {
    const Outside o;
    o.fill(c.text);
    o.folder.write("s/scans/a.ply", "");
    const std::string what = refusal([&] { load_session(o.session); });
    const std::string start = (o.session / "session.toml").string() + ":" + c.place + ": ";
    EXPECT_TRUE(what.starts_with(start)) << c.text << "\n  gives: " << what;
    EXPECT_NE(what.find(c.phrase), std::string::npos) << what;
  }
}

TEST(SessionFile, TwoArtefactsOfOneSerialAreRefused) {
  const Outside o;
  o.fill("field = \"300\"\n");
  const std::string bar = text_of(fixtures() / "artefacts" / "bar-250-07.toml");
  o.folder.write("s/artefacts/a.toml", bar);
  o.folder.write("s/artefacts/b.toml", bar);
  EXPECT_NE(refusal([&] { load_session(o.session); }).find("b.toml"), std::string::npos);
}

TEST(SessionFile, WhatIsNoSession) {
  const ScratchFolder folder;
  EXPECT_NE(refusal([&] { load_session(folder / "none"); }, ErrorKind::missing), "");
  EXPECT_NE(refusal([&] { load_session(folder.path()); }, ErrorKind::missing), "");
  EXPECT_NE(refusal([&] { load_session(folder.write("file", "")); }, ErrorKind::missing), "");
}

// ---- lookups

TEST(Lookup, HomeBeforeFixturesAndPathsAsTheyAre) {
  const ScratchFolder home;
  const Variable variable("RIGPROOF_HOME", home.path().string());
  EXPECT_EQ(home_folder(), home.path());
  EXPECT_EQ(find_input("rigs", "R12"), share_folder("fixtures") / "rigs" / "R12.toml");
  home.write("rigs/R12.toml", "id = \"R12\"\n");
  EXPECT_EQ(find_input("rigs", "R12"), home / "rigs/R12.toml");
  const auto path = home.write("x.toml", "");
  EXPECT_EQ(find_input("rigs", path.string()), path);
  const auto names = input_names("rigs");
  EXPECT_EQ(std::ranges::count(names, "R12"), 1);
  EXPECT_EQ(names.front(), "R12") << "the home folder comes first";
}

TEST(Lookup, AnUnknownNameHasNearOnes) {
  const ScratchFolder home;
  const Variable variable("RIGPROOF_HOME", home.path().string());
  try {
    find_input("procedures", "half-huor");
    FAIL();
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::missing);
    EXPECT_NE(error.next_step().find("Did you mean \"half-hour\"?"), std::string::npos)
        << error.next_step();
  }
  EXPECT_NE(refusal([] { find_input("rigs", "no/such.toml"); }, ErrorKind::missing), "");
  EXPECT_NE(refusal([] { find_input("rigs", ""); }, ErrorKind::missing), "");
}

TEST(Lookup, TheShareFolderMayBeNamed) {
  const ScratchFolder share;
  share.write("fixtures/rigs/Rx.toml", "id = \"Rx\"\n");
  const Variable variable("RIGPROOF_SHARE", share.path().string());
  EXPECT_EQ(share_folder("fixtures"), share / "fixtures");
  EXPECT_EQ(find_input("rigs", "Rx"), share / "fixtures/rigs/Rx.toml");
  EXPECT_NE(refusal([] { share_folder("reports"); }, ErrorKind::missing), "");
}

TEST(Lookup, RigAndField) {
  const ScratchFolder home;
  const Variable variable("RIGPROOF_HOME", home.path().string());
  const std::string field = "size_mm = [3, 2, 1]\nmiddle_mm = 6\n";
  home.write(
      "rigs/Q1.toml",
      "id = \"Q1\"\n[[field]]\nname = \"a\"\n" + field + "[[field]]\nname = \"b\"\n" + field);
  EXPECT_EQ(find_rig_field("Q1/b").field, "b");
  EXPECT_EQ(find_rig_field("R12").field, "300") << "it has one field";
  EXPECT_EQ(find_rig_field((home / "rigs/Q1.toml").string() + "/a").field, "a");
  EXPECT_NE(refusal([] { find_rig_field("Q1"); }, ErrorKind::usage).find("2 fields"),
            std::string::npos);
  EXPECT_NE(refusal([] { find_rig_field("Q1/c"); }), "");
  EXPECT_NE(refusal([] { find_rig_field("Q2/c"); }, ErrorKind::missing), "");
}

TEST(Lookup, AMissingCopyIsFoundByNameUnlessTheSessionIsSealed) {
  const ScratchFolder home, unused;
  const Variable variable("RIGPROOF_HOME", home.path().string());
  home.write("s/session.toml", "rig = \"R12\"\nprocedure = \"interim\"\nlimits = \"R12-agreed\"\n");
  const Session s = load_session(home / "s");
  EXPECT_EQ(s.looked_up.size(), 3u);
  EXPECT_EQ(s.field_name, "300") << "the only field";
  EXPECT_EQ(s.procedure.positions.size(), 3u);
  EXPECT_EQ(s.limits.name, "R12-agreed");
  fs::create_directories(home / "s/seal");
  EXPECT_NO_THROW(load_session(home / "s")) << "a seal that was stopped is none";
  home.write("s/seal/manifest.json", "{}");
  EXPECT_NE(refusal([&] { load_session(home / "s"); }, ErrorKind::missing).find("sealed"),
            std::string::npos);
}

}  // namespace
}  // namespace rigproof
