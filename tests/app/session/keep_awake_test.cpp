// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/keep_awake.h"
#include "app/session/warning_command.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <chrono>
#include <cstdlib>
#include <thread>

namespace potwatch::session {
namespace {

using namespace std::chrono_literals;
using testing::HasSubstr;

// A system of the test's own, found before the real one.
class KeepAwakeTest : public TemporaryFolder {
protected:
    void SetUp() override {
        TemporaryFolder::SetUp();
        const char* const before = std::getenv("PATH");
        before_ = before == nullptr ? "" : before;
        ::setenv("PATH", (folder_.string() + ":" + before_).c_str(), 1);
    }
    void TearDown() override {
        ::setenv("PATH", before_.c_str(), 1);
        TemporaryFolder::TearDown();
    }
    void makeInhibit(const std::string& script) const {
        std::filesystem::permissions(file("systemd-inhibit", "#!/bin/sh\n" + script),
                                     std::filesystem::perms::owner_all);
    }
    // The answer, which is there within two seconds.
    static std::optional<bool> answerOf(KeepAwake& awake) {
        std::optional<bool> answer;
        for (int i = 0; i < 200 && !answer; ++i) {
            std::this_thread::sleep_for(10ms);
            answer = awake.isKept();
        }
        return answer;
    }

    std::string before_;
};

TEST_F(KeepAwakeTest, holdsTheLockForAsLongAsItLives) {
    makeInhibit("echo \"$@\" > '" + path("words") + "'\nfor word; do last=$word; done\n\"$last\"\ntouch '" +
                path("over") + "'\n");
    {
        KeepAwake awake("a test is run");
        EXPECT_EQ(answerOf(awake), true);
        EXPECT_THAT(contentOf("words"), HasSubstr("sleep"));
        EXPECT_THAT(contentOf("words"), HasSubstr("--why=a test is run"));
        EXPECT_FALSE(std::filesystem::exists(path("over")));
    }
}

TEST_F(KeepAwakeTest, saysThatItWasRefused) {
    makeInhibit("exit 1\n");
    KeepAwake awake("a test is run");
    EXPECT_EQ(answerOf(awake), false);
}

TEST_F(KeepAwakeTest, saysThatTheSystemHasNoSuchLock) {
    ::setenv("PATH", folder_.c_str(), 1);
    KeepAwake awake("a test is run");
    EXPECT_EQ(answerOf(awake), false);
}

TEST_F(KeepAwakeTest, warningCommandsAreNotPiledUp) {
    WarningCommand command({"/bin/sh", "-c", "sleep 5"});
    std::size_t started = 0;
    for (int i = 0; i < 10; ++i) {
        started += command.run("hot") ? 0U : 1U;
    }
    EXPECT_EQ(started, 4U);
    EXPECT_FALSE(WarningCommand().run("hot")) << "none is wanted";
}

} // namespace
} // namespace potwatch::session
