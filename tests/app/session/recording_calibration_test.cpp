// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/session/calibrations.h"
#include "app/session/recording.h"
#include "tests/app/session/scripted_source.h"
#include "tests/app/session/temporary_folder.h"

#include <gmock/gmock.h>

#include <algorithm>

namespace potwatch::session {
namespace {

using testing::SizeIs;

class CalibratedRecording : public TemporaryFolder {
protected:
    [[nodiscard]] RunWanted wanted() const {
        return {.book = path("live.potbook"), .name = "live", .settings = path("settings"), .keep_awake = false};
    }
    [[nodiscard]] potwatch::Run recorded() const {
        Result<book::Opened> opened = book::Book::open(path("live.potbook"), book::Access::read);
        EXPECT_TRUE(opened);
        return opened->book.read(heard_.all<RecordingEnded>().front().id)->run;
    }
    [[nodiscard]] bool isTold(const std::string& words) const {
        const std::vector<DeviceNews> news = heard_.all<DeviceNews>();
        return std::any_of(news.begin(), news.end(), [&](const DeviceNews& one) {
            return one.what == DeviceChange::calibrated && one.text.find(words) != std::string::npos;
        });
    }

    Script script_;
    Heard heard_;
};

TEST_F(CalibratedRecording, showsCorrectedReadingsAndKeepsThemAsReceived) {
    ASSERT_TRUE(writeCalibrations(
        path("settings"),
        {{.device = "", .probe = {.channel = "t1", .calibration = ProbeCalibration{.ice_reading_c = 0.5}}}}));
    {
        Recording recording(script_.source(), {}, wanted(), heard_.tell());
        script_.connect();
        script_.send("20.5,30.0\n21.5,30.0\n22.5,30.0\n");
        ASSERT_THAT(heard_.wait<RunInBook>(), SizeIs(1));
        Batch restated; // the form knows nothing of it, and takes nothing away
        restated.charge.resin_g = 80.0;
        recording.setBatch(restated);
        script_.send("23.5,30.0\n");
    }
    const potwatch::Run run = recorded();
    ASSERT_THAT(run.batch.probes, SizeIs(1));
    EXPECT_EQ(run.batch.probes[0].calibration->ice_reading_c, 0.5);
    EXPECT_EQ(run.batch.charge.resin_g, 80.0);
    ASSERT_THAT(run.channels.at(0).values, SizeIs(4));
    EXPECT_EQ(run.channels[0].values[0], 20.5);
    const std::vector<LiveScan> scans = heard_.scans();
    ASSERT_THAT(scans, SizeIs(4));
    EXPECT_DOUBLE_EQ(scans[0].values[0], 20.0);
    EXPECT_DOUBLE_EQ(scans[3].values[0], 23.0);
    EXPECT_DOUBLE_EQ(scans[0].values[1], 30.0);
    EXPECT_TRUE(isTold("t1 is corrected"));
}

TEST_F(CalibratedRecording, recordsUncorrectedWhereCalibrationsCannotBeRead) {
    std::filesystem::create_directories(path("settings"));
    (void)file("settings/calibration.toml", "format = 9\n");
    {
        Recording recording(script_.source(), {}, wanted(), heard_.tell());
        script_.connect();
        script_.send("20.5\n21.5\n22.5\n");
    }
    EXPECT_THAT(recorded().batch.probes, SizeIs(0));
    EXPECT_TRUE(isTold("The readings are not corrected"));
    EXPECT_DOUBLE_EQ(heard_.scans().front().values[0], 20.5);
}

} // namespace
} // namespace potwatch::session
