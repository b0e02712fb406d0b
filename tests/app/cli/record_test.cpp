// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/app/cli/bench_device.h"
#include "tests/app/cli/live_program.h"
#include "tests/app/cli/program.h"

#include <fmt/format.h>
#include <gmock/gmock.h>

#include <algorithm>
#include <array>
#include <csignal>
#include <fcntl.h>
#include <filesystem>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

namespace potwatch::test {
namespace {

using namespace std::chrono_literals;
using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::SizeIs;

class Record : public CommandLine {
protected:
    [[nodiscard]] std::string bookPath() const { return path("live.potbook"); }
    [[nodiscard]] std::string link() const { return path("pot"); }
    [[nodiscard]] std::vector<std::string> words(const std::vector<std::string>& more = {}) const {
        std::vector<std::string> all{"record", "--port", link(), "--book", bookPath()};
        all.insert(all.end(), more.begin(), more.end());
        return all;
    }
    [[nodiscard]] bool hasLease() const {
        for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
            if (entry.path().extension() == ".lease") {
                return true;
            }
        }
        return false;
    }
};

// The lines follow each other without a gap, but for the first ones.
void expectUnbroken(const std::vector<std::size_t>& lines) {
    for (std::size_t i = 1; i < lines.size(); ++i) {
        ASSERT_EQ(lines[i], lines[i - 1] + 1) << "after scan " << i;
    }
}

TEST_F(Record, keepsLinesOfStandardInput) {
    const Outcome outcome =
        potwatch({"record", "--from", "-", "--book", bookPath(), "--name", "rod 03", "--json"},
                 {.input = "core_c,skin_c\n23.45,24.10\n23.50,24.20\n# what is this\n23.55,24.30\n"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const auto json = outcome.json();
    EXPECT_EQ(json["format"], 1);
    EXPECT_EQ(json["name"], "rod 03");
    EXPECT_EQ(json["samples"], 3);
    EXPECT_EQ(json["samples_lost"], 0);
    EXPECT_EQ(json["lines_refused"], 1);
    EXPECT_EQ(json["channels"][0]["name"], "core_c");
    EXPECT_EQ(json["channels"][1]["unit"], "degC");
    const RecordedRun run = onlyRunOf(bookPath());
    EXPECT_EQ(run.state, book::RunState::complete);
    EXPECT_THAT(run.run.channels[0].values, ElementsAre(23.45, 23.50, 23.55));
    EXPECT_FALSE(hasLease());
}

TEST_F(Record, takesBatchFileAndDeviceFile) {
    const std::string device = file("d.toml", "format = 1\n[lines]\nstyle = \"key-value\"\n[[column]]\nkey = \"A\"\n"
                                              "name = \"pot_c\"\nunit = \"degC\"\n");
    const std::string batch = file("b.toml", "format = 1\n[batch]\nname = \"rod 09\"\n");
    const Outcome outcome =
        potwatch({"record", "--from", "-", "--book", bookPath(), "--device", device, "--batch", batch, "--json"},
                 {.input = "A=20.1 B=7\nA=20.2 B=8\n"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.json()["name"], "rod 09");
    EXPECT_THAT(outcome.json()["lines"], testing::Eq("lines of 1 value with their names, decimal point"));
    EXPECT_THAT(onlyRunOf(bookPath()).run.channels[0].values, ElementsAre(20.1, 20.2));
}

TEST_F(Record, leavesOutAChannelOfTheBatchFileThatTheDeviceDoesNotHave) {
    const std::string batch = file("b.toml", "format = 1\n[channels]\npot = \"pot_c\"\n");
    std::string lines;
    for (int i = 0; i < 40; ++i) {
        lines += fmt::format("A={:.2f} B={:.2f}\n", 20.0 + 0.03 * (i % 5), 30.0 + 0.02 * (i % 4));
    }
    const Outcome outcome =
        potwatch({"record", "--from", "-", "--book", bookPath(), "--batch", batch, "--json"}, {.input = lines});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    const auto notices = outcome.json()["notices"];
    ASSERT_EQ(notices.size(), 1U) << outcome.out;
    EXPECT_THAT(notices[0].get<std::string>(), HasSubstr("no channel \"pot_c\" (the pot)"));
    EXPECT_EQ(onlyRunOf(bookPath()).run.batch.pot_channel, "");
    const Outcome mistyped =
        potwatch({"record", "--from", "-", "--book", path("other.potbook"), "--channel", "C"}, {.input = lines});
    EXPECT_EQ(mistyped.exit_code, 0) << mistyped.err;
    EXPECT_THAT(mistyped.out, HasSubstr("\"A\" is taken as the pot")) << "a cure is not refused for a slip of the pen";
    EXPECT_THAT(mistyped.out, testing::Not(HasSubstr("there is no c")));
}

TEST_F(Record, saysWhyThereAreNoFindingsOfAShortRun) {
    const Outcome three = potwatch({"record", "--from", "-", "--book", bookPath()}, {.input = "20.1\n20.2\n20.3\n"});
    EXPECT_EQ(three.exit_code, 0) << three.err;
    EXPECT_THAT(three.out, HasSubstr("3 samples"));
    EXPECT_THAT(three.out, HasSubstr("\nNo findings. All that was recorded came within 0.0 s. Record for longer; "));
    {
        const LiveProgram device(folder_.string(), {"pretend", "--link", link(), "--rate", "2"});
        ASSERT_TRUE(device.hasSaid(link()));
        const Outcome outcome = potwatch(words({"--for", "3s"}));
        EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
        EXPECT_THAT(outcome.out, testing::ContainsRegex("\nNo findings. Channel t1: only [0-9]+ usable readings, and "
                                                        "findings need 16 or more. Record for longer, or choose "
                                                        "another channel.\n"));
    }
}

TEST_F(Record, playsAPretendDeviceForAsLongAsAsked) {
    const LiveProgram device(folder_.string(), {"pretend", "--link", link(), "--rate", "20", "--channels", "3"});
    ASSERT_TRUE(device.hasSaid(link()));
    const Outcome outcome = potwatch(words({"--for", "2s"}));
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_THAT(outcome.out, HasSubstr("Connected to"));
    EXPECT_THAT(outcome.out, HasSubstr("lines of 3 values, parted by commas"));
    EXPECT_THAT(outcome.out, HasSubstr("Recorded"));
    EXPECT_THAT(outcome.out, HasSubstr("heat released")) << "findings as soon as it stops";
    const RecordedRun run = onlyRunOf(bookPath());
    EXPECT_GE(run.run.time_s.size(), 35U);
    EXPECT_LE(run.run.time_s.size(), 45U);
}

TEST_F(Record, endsCleanlyByEachSignal) {
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
        std::filesystem::remove(bookPath());
        const BenchDevice device(link(), 2, 50.0);
        LiveProgram recorder(folder_.string(), words());
        ASSERT_TRUE(recorder.hasSaid("Recording"));
        std::this_thread::sleep_for(300ms);
        recorder.signal(signal);
        EXPECT_EQ(recorder.wait(), 130) << recorder.err();
        EXPECT_THAT(recorder.err(), HasSubstr("stopped; what was recorded is in the book"));
        EXPECT_EQ(recorder.out().find("indings") != std::string::npos, signal == SIGINT) << recorder.out();
        const RecordedRun run = onlyRunOf(bookPath());
        EXPECT_EQ(run.state, book::RunState::complete);
        EXPECT_THAT(run.notices, IsEmpty());
        expectUnbroken(linesOf(run.run, device.sent()));
        EXPECT_GT(run.run.time_s.size(), 5U);
        EXPECT_FALSE(hasLease());
    }
}

TEST_F(Record, losesNothingWhenItIsKilled) {
    const BenchDevice device(link(), 8, 10.0);
    LiveProgram recorder(folder_.string(), words());
    ASSERT_TRUE(recorder.hasSaid("Recording"));
    std::this_thread::sleep_for(2500ms);
    recorder.signal(SIGKILL);
    const auto killed = std::chrono::steady_clock::now();
    EXPECT_EQ(recorder.wait(), 1000 + SIGKILL);
    const RecordedRun run = onlyRunOf(bookPath());
    EXPECT_EQ(run.state, book::RunState::recovered);
    EXPECT_THAT(run.notices, SizeIs(1));
    const std::vector<BenchDevice::Sent> sent = device.sent();
    const std::vector<std::size_t> lines = linesOf(run.run, sent);
    expectUnbroken(lines);
    ASSERT_FALSE(lines.empty());
    EXPECT_GT(sent[lines.back() + 1].at, killed - 1s) << "a sample older than a second is not in the book";
}

TEST_F(Record, isLeftAloneByOthersWhoOpenTheBook) {
    const BenchDevice device(link(), 2, 20.0);
    LiveProgram recorder(folder_.string(), words());
    ASSERT_TRUE(recorder.hasSaid("Recording"));
    for (int i = 0; i < 5; ++i) {
        std::this_thread::sleep_for(300ms);
        Result<book::Opened> other = book::Book::open(bookPath(), book::Access::write);
        ASSERT_TRUE(other);
        EXPECT_THAT(other->notices, IsEmpty());
        const Result<std::vector<book::RunRow>> rows = other->book.list();
        ASSERT_TRUE(rows);
        for (const book::RunRow& row : *rows) {
            EXPECT_EQ(row.state, book::RunState::recording);
        }
    }
    recorder.signal(SIGTERM);
    EXPECT_EQ(recorder.wait(), 130);
    const RecordedRun run = onlyRunOf(bookPath());
    EXPECT_EQ(run.state, book::RunState::complete);
    expectUnbroken(linesOf(run.run, device.sent()));
}

// A run that is being recorded in it: RecordInWindow.losesNothingWhereTheWindowIsClosedMeanwhile.
TEST_F(Record, aSignalClosesTheWindowAsThePersonWould) {
    ::setenv("QT_QPA_PLATFORM", "offscreen", 1);
    const auto is_open = [this] { return std::filesystem::exists(bookPath() + "-wal"); };
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) {
        LiveProgram window(folder_.string(), {"--book", bookPath(), "--config", path("settings")});
        for (int i = 0; i < 400 && !is_open(); ++i) {
            std::this_thread::sleep_for(50ms);
        }
        ASSERT_TRUE(is_open());
        window.signal(signal);
        EXPECT_EQ(window.wait(), 0) << window.err();
        EXPECT_FALSE(is_open()) << "the book was closed";
    }
}

TEST_F(Record, goesOnWhenTheCableIsBack) {
    BenchDevice device(link(), 2, 50.0);
    LiveProgram recorder(folder_.string(), words());
    ASSERT_TRUE(recorder.hasSaid("Recording"));
    device.hangUp();
    ASSERT_TRUE(recorder.hasSaid("the device is gone"));
    device.comeBack();
    ASSERT_TRUE(recorder.hasSaid("The device is back"));
    std::this_thread::sleep_for(300ms);
    recorder.signal(SIGTERM);
    EXPECT_EQ(recorder.wait(), 130);
    const RecordedRun run = onlyRunOf(bookPath());
    (void)linesOf(run.run, device.sent());
    std::vector<std::string> kinds;
    for (const Event& event : run.run.batch.events) {
        kinds.push_back(event.kind);
    }
    EXPECT_THAT(kinds, ElementsAre("device lost", "device back"));
}

TEST_F(Record, saysThatAPortIsNotThereOrTaken) {
    expectOneFault(potwatch({"record", "--port", path("none"), "--book", bookPath()}), 3, "is not there");
    const BenchDevice device(link(), 2, 20.0);
    LiveProgram first(folder_.string(), words());
    ASSERT_TRUE(first.hasSaid("Recording"));
    expectOneFault(potwatch({"record", "--port", link(), "--book", path("other.potbook")}), 3,
                   "is in use by another program");
}

TEST_F(Record, saysWhatItDoesNotUnderstand) {
    std::string prose;
    for (int i = 0; i < 20; ++i) {
        prose += "good morning\n";
    }
    const Outcome outcome = potwatch({"record", "--from", "-", "--book", bookPath()}, {.input = prose});
    EXPECT_EQ(outcome.exit_code, 1);
    EXPECT_THAT(outcome.err, HasSubstr("good morning"));
    EXPECT_THAT(outcome.err, HasSubstr("--device"));
    expectOneFault(potwatch({"record", "--from", "-", "--book", bookPath()}, {.input = "23,4\n23,5\n23,6\n"}), 1,
                   "decimal comma");
    expectOneFault(potwatch({"record", "--from", "-", "--book", bookPath()}), 3, "no line has come");
}

TEST_F(Record, refusesWrongWords) {
    for (const std::vector<std::string>& words :
         std::vector<std::vector<std::string>>{{"record"},
                                               {"record", "--port", "/dev/x", "--from", "-"},
                                               {"record", "--from", "t.csv"},
                                               {"record", "--from", "-", "--for", "soon"},
                                               {"record", "--from", "-", "--unit", "furlong"},
                                               {"record", "--from", "-", "--protocol", "smoke"},
                                               {"pretend", "--style", "verse"},
                                               {"pretend", "--fault", "mood"},
                                               {"pretend", "--channels", "1.5"}}) {
        EXPECT_EQ(potwatch(words).exit_code, 2) << fmt::format("{}", fmt::join(words, " "));
    }
    const std::string device = file("bad.toml", "format = 1\n[port]\nbuad = 9600\n");
    expectOneFault(potwatch({"record", "--from", "-", "--book", bookPath(), "--device", device}), 1, "baud");
}

TEST_F(Record, runsACommandOnAWarningWithoutAShell) {
    std::string table = "time_s,pot_c\n";
    for (int i = 0; i <= 40; ++i) {
        table += fmt::format("{},{}.{}\n", i, 90 + i / 4, i % 4 * 25);
    }
    const LiveProgram device(folder_.string(), {"pretend", "--link", link(), "--rate", "20", "--csv",
                                                file("hot.csv", table), "--speed", "10"});
    ASSERT_TRUE(device.hasSaid(link()));
    // touch makes a file of each word that it is given: what the warning says is one, blanks and all.
    const Outcome outcome = potwatch(
        words({"--for", "4s", "--limit", "95", "--on-warning", "touch", "--on-warning", "$(echo a word)", "--json"}),
        {.folder = folder_.string()});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    const nlohmann::json json = outcome.json();
    const nlohmann::json& events = json["events"];
    const auto warning =
        std::find_if(events.begin(), events.end(), [](const auto& e) { return e["kind"] == "warning"; });
    ASSERT_NE(warning, events.end()) << outcome.out;
    const std::string said = path((*warning)["text"].get<std::string>());
    for (int i = 0; i < 200 && !std::filesystem::exists(said); ++i) {
        std::this_thread::sleep_for(10ms);
    }
    EXPECT_TRUE(std::filesystem::exists(said)) << said;
    EXPECT_TRUE(std::filesystem::exists(path("$(echo a word)")));
}

// The program with a terminal of its own, as a person has it.
class OnATerminal {
public:
    explicit OnATerminal(const std::vector<std::string>& words) {
        const Arguments arguments(words);
        process_ = ::forkpty(&terminal_, nullptr, nullptr, nullptr);
        if (process_ == 0) {
            ::execv(POTWATCH_PROGRAM, arguments.get());
            ::_exit(127);
        }
        ::fcntl(terminal_, F_SETFL, O_NONBLOCK);
    }
    ~OnATerminal() {
        ::kill(process_, SIGKILL);
        ::waitpid(process_, nullptr, 0);
        if (terminal_ >= 0) {
            ::close(terminal_);
        }
    }
    OnATerminal(const OnATerminal&) = delete;
    OnATerminal& operator=(const OnATerminal&) = delete;

    void hangUp() {
        ::close(terminal_);
        terminal_ = -1;
    }
    void press(char key) const { EXPECT_EQ(::write(terminal_, &key, 1), 1); }
    bool shows(const std::string& text) {
        const auto until = std::chrono::steady_clock::now() + 20s;
        while (shown_.find(text) == std::string::npos && std::chrono::steady_clock::now() < until) {
            look();
            std::this_thread::sleep_for(10ms);
        }
        return shown_.find(text) != std::string::npos;
    }
    int wait() {
        int status = 0;
        while (::waitpid(process_, &status, WNOHANG) == 0) {
            look();
            std::this_thread::sleep_for(10ms);
        }
        look();
        return WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
    }
    [[nodiscard]] const std::string& shown() const { return shown_; }

private:
    void look() {
        std::array<char, 4096> buffer{};
        for (ssize_t count = 1; count > 0;) {
            count = terminal_ < 0 ? 0 : ::read(terminal_, buffer.data(), buffer.size());
            shown_.append(buffer.data(), static_cast<std::size_t>(std::max<ssize_t>(count, 0)));
        }
    }

    int terminal_ = -1;
    pid_t process_ = -1;
    std::string shown_;
};

TEST_F(Record, takesEventsByKeyOnATerminal) {
    const BenchDevice device(link(), 2, 20.0);
    OnATerminal terminal(words());
    ASSERT_TRUE(terminal.shows("Recording")) << terminal.shown();
    EXPECT_TRUE(terminal.shows("d dose start")) << "the keys";
    ASSERT_TRUE(terminal.shows(" °C")) << "the sentence";
    terminal.press('d');
    ASSERT_TRUE(terminal.shows(" dose start\r\n"));
    terminal.press('g');
    ASSERT_TRUE(terminal.shows(" gel\r\n"));
    terminal.press('u');
    ASSERT_TRUE(terminal.shows("taken back: gel"));
    terminal.press('x'); // no event
    terminal.press('o');
    ASSERT_TRUE(terminal.shows("one drop (1 so far)"));
    terminal.press('o');
    ASSERT_TRUE(terminal.shows("one drop (2 so far)"));
    terminal.press('u');
    ASSERT_TRUE(terminal.shows("taken back: one drop"));
    terminal.press('q');
    EXPECT_EQ(terminal.wait(), 0) << terminal.shown();
    EXPECT_THAT(terminal.shown(), HasSubstr("Recorded"));
    const RecordedRun run = onlyRunOf(bookPath());
    EXPECT_EQ(run.state, book::RunState::complete);
    ASSERT_THAT(run.run.batch.events, SizeIs(1));
    EXPECT_EQ(run.run.batch.events[0].kind, "dose start");
    ASSERT_TRUE(run.run.batch.dose);
    ASSERT_THAT(run.run.batch.dose->steps, SizeIs(1));
    EXPECT_EQ(run.run.batch.dose->steps[0].unit, DoseUnit::drop);
    EXPECT_GT(run.run.batch.dose->steps[0].time_s, 0.0);
}

TEST_F(Record, saysAnewWhatToDoWhenTheDoseEndsUnderAWarning) {
    // 78 °C rising 24 K/min: far under 90 s to the limit from the start.
    std::string table = "time_s,pot_c\n";
    for (int i = 0; i <= 600; ++i) {
        table += fmt::format("{:.1f},{:.2f}\n", 0.1 * i, 78.0 + 0.04 * i + 0.01 * (i % 3));
    }
    const LiveProgram device(folder_.string(),
                             {"pretend", "--link", link(), "--rate", "10", "--csv", file("rising.csv", table)});
    ASSERT_TRUE(device.hasSaid(link()));
    OnATerminal terminal(words());
    ASSERT_TRUE(terminal.shows("Recording")) << terminal.shown();
    terminal.press('d');
    ASSERT_TRUE(terminal.shows(". Stop the dose.")) << terminal.shown();
    terminal.press('e');
    ASSERT_TRUE(terminal.shows("WARNING, still: ")) << terminal.shown();
    ASSERT_TRUE(terminal.shows("spread it in a shallow tray or quench it.\r\n"));
    terminal.press('q');
    EXPECT_EQ(terminal.wait(), 0);
    const std::string& shown = terminal.shown();
    const std::string anew = shown.substr(shown.find("WARNING, still: "));
    EXPECT_THAT(anew, HasSubstr("Cool the pot now"));
    EXPECT_THAT(anew, testing::Not(HasSubstr("Stop the dose")));
}

TEST_F(Record, endsCleanlyWhenItsTerminalIsClosed) {
    const BenchDevice device(link(), 2, 20.0);
    {
        OnATerminal terminal(words());
        ASSERT_TRUE(terminal.shows("Recording"));
        std::this_thread::sleep_for(500ms);
        terminal.hangUp();
        EXPECT_EQ(terminal.wait(), 130);
    }
    EXPECT_EQ(onlyRunOf(bookPath()).state, book::RunState::complete);
}

TEST_F(Record, listsPorts) {
    const Outcome outcome = potwatch({"devices", "--json"});
    ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
    ASSERT_TRUE(outcome.json()["ports"].is_array());
    const nlohmann::json json = outcome.json();
    for (const auto& port : json["ports"]) {
        EXPECT_FALSE(port["path"].get<std::string>().empty());
        EXPECT_EQ(port["may_be_opened"].get<bool>(), port["remedy"].is_null());
    }
    EXPECT_FALSE(potwatch({"devices"}).out.empty());
}

TEST_F(Record, pretendTellsItsPathAndTakesItsLinkAway) {
    LiveProgram device(folder_.string(), {"pretend", "--link", link(), "--json"});
    ASSERT_TRUE(device.hasSaid("/dev/pts/"));
    EXPECT_EQ(nlohmann::json::parse(device.out())["link"], link());
    EXPECT_EQ(std::filesystem::read_symlink(link()), nlohmann::json::parse(device.out())["path"].get<std::string>());
    device.signal(SIGTERM);
    EXPECT_EQ(device.wait(), 130);
    EXPECT_FALSE(std::filesystem::is_symlink(link()));
    LiveProgram short_one(folder_.string(), {"pretend", "--link", link(), "--for", "1s"});
    EXPECT_EQ(short_one.wait(), 0);
}

} // namespace
} // namespace potwatch::test
