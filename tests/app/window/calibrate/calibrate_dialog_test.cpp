// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/calibrate/calibrate_dialog.h"
#include "tests/app/window/calibrate/dialog_fixture.h"

#include <QPlainTextEdit>
#include <QTableWidget>

#include <cmath>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;
using testing::Not;

class Calibrating : public DialogOfRuns {
protected:
    void SetUp() override {
        DialogOfRuns::SetUp();
        addRun("ice", 300, [](int t) { return 0.42 + 0.1 * std::sin(2.3 * t); });
        addRun("boiling", 300, [](int t) { return 99.6 + 0.1 * std::sin(2.3 * t); });
        addRun("plunge", 120, [](int t) {
            return (t < 20 ? 80.0 : 0.4 + 79.6 * std::exp((20 - t) / 5.0)) + 0.05 * std::sin(2.3 * t);
        });
    }
    void choose(const CalibrateDialog& dialog, session::CalibrationKind kind, const char* run) const {
        auto* const kinds = named<QComboBox>(dialog, "calibrateKind");
        kinds->setCurrentIndex(kinds->findData(static_cast<int>(kind)));
        auto* const runs = named<QComboBox>(dialog, "calibrateRun");
        runs->setCurrentIndex(runs->findText(QString::fromUtf8(run), Qt::MatchStartsWith));
    }
    [[nodiscard]] static std::string result(const CalibrateDialog& dialog) {
        return named<QPlainTextEdit>(dialog, "calibrateResult")->toPlainText().toStdString();
    }
    [[nodiscard]] static bool isFound(const CalibrateDialog& dialog) {
        return waitFor([&] { return named<QPushButton>(dialog, "calibrateKeep")->isEnabled(); });
    }
    [[nodiscard]] static bool says(const CalibrateDialog& dialog, const std::string& part) {
        return waitFor([&] { return result(dialog).find(part) != std::string::npos; });
    }
    [[nodiscard]] static std::string cell(const CalibrateDialog& dialog, int column) {
        const QTableWidgetItem* const item = named<QTableWidget>(dialog, "calibrateKnown")->item(0, column);
        return item == nullptr ? std::string() : item->text().toStdString();
    }
    void keep(const CalibrateDialog& dialog) const {
        ASSERT_TRUE(isFound(dialog));
        click(dialog, "calibrateKeep");
        ASSERT_TRUE(waitFor([&] { return words(dialog, "calibrateSaid").starts_with("Kept"); }));
    }
};

TEST_F(Calibrating, findsKeepsAndForgets) {
    CalibrateDialog dialog(folder.path(), chosen("ice"));
    dialog.show();
    ASSERT_TRUE(isFound(dialog));
    EXPECT_THAT(result(dialog), HasSubstr("pot_c in melting ice, 0 °C: 0.4"));
    EXPECT_THAT(result(dialog), HasSubstr("It reads 0.42 K too high there."));
    EXPECT_EQ(contentOf("calibration.toml"), ""); // nothing is kept that was not asked for
    EXPECT_FALSE(named<QLineEdit>(dialog, "calibratePressure")->isVisible());
    keep(dialog);
    EXPECT_THAT(contentOf("calibration.toml"), HasSubstr("ice_reading_c = 0.4"));

    choose(dialog, session::CalibrationKind::boiling, "boiling");
    ASSERT_TRUE(says(dialog, "The air's pressure is not stated"));
    EXPECT_FALSE(named<QPushButton>(dialog, "calibrateKeep")->isEnabled());
    type(dialog, "calibratePressure", u"1013,25 hPa"_s);
    ASSERT_TRUE(isFound(dialog));
    EXPECT_THAT(result(dialog), HasSubstr("water boiling at 99.97 °C (101.325 kPa)")); // IAPWS-IF97
    keep(dialog);

    choose(dialog, session::CalibrationKind::lag, "plunge");
    ASSERT_TRUE(says(dialog, "with a lag of 5"));
    keep(dialog);
    ASSERT_EQ(named<QTableWidget>(dialog, "calibrateKnown")->rowCount(), 1);
    EXPECT_EQ(cell(dialog, 0), "pot_c");
    EXPECT_THAT(cell(dialog, 2), HasSubstr("0.4"));
    EXPECT_THAT(cell(dialog, 3), HasSubstr("99.6"));
    EXPECT_THAT(cell(dialog, 4), HasSubstr("5"));
    EXPECT_THAT(words(dialog, "calibrateRemark"),
                HasSubstr("pot_c is corrected by its calibration: \u22120.42 K at 0"));

    click(dialog, "calibrateForget");
    ASSERT_TRUE(waitFor([&] { return named<QTableWidget>(dialog, "calibrateKnown")->rowCount() == 0; }));
    EXPECT_THAT(contentOf("calibration.toml"), Not(HasSubstr("pot_c")));
    EXPECT_FALSE(named<QPushButton>(dialog, "calibrateForget")->isEnabled());
}

TEST_F(Calibrating, saysWhyARunTellsNothing) {
    CalibrateDialog dialog(folder.path(), chosen("boiling"));
    dialog.show();
    ASSERT_TRUE(says(dialog, "pot_c: "));
    EXPECT_THAT(result(dialog), HasSubstr("99.6 °C"));
    EXPECT_FALSE(named<QPushButton>(dialog, "calibrateKeep")->isEnabled());
    choose(dialog, session::CalibrationKind::boiling, "boiling");
    type(dialog, "calibratePressure", u"high"_s);
    EXPECT_THAT(result(dialog), HasSubstr("Air pressure, kPa: \"high\" is not a number"));
}

TEST_F(Calibrating, leavesAFileThatItDoesNotUnderstand) {
    std::ofstream(path("calibration.toml")) << "format = 9\n";
    CalibrateDialog dialog(folder.path(), chosen("ice"));
    dialog.show();
    ASSERT_TRUE(waitFor([&] { return words(dialog, "calibrateSaid").find("calibration.toml") != std::string::npos; }));
    ASSERT_TRUE(isFound(dialog));
    click(dialog, "calibrateKeep");
    ASSERT_TRUE(waitFor([&] { return words(dialog, "calibrateSaid").find("format") != std::string::npos; }));
    EXPECT_EQ(contentOf("calibration.toml"), "format = 9\n");
}

TEST_F(Calibrating, readsTheProbeItselfWhereTheRunIsCorrected) {
    addRun(
        "corrected", 300, [](int t) { return 0.42 + 0.1 * std::cos(2.3 * t); },
        "[[probe]]\nchannel = \"pot_c\"\n[probe.calibration]\nice_reading_c = 0.42\nice_u_k = 0.06\n");
    CalibrateDialog dialog(folder.path(), chosen("corrected"));
    dialog.show();
    ASSERT_TRUE(isFound(dialog));
    EXPECT_THAT(result(dialog), HasSubstr("It reads 0.42 K too high there."));
}

TEST_F(Calibrating, takesInRunsThatComeAndKeepsTheChosenOne) {
    CalibrateDialog dialog(folder.path(), chosen("ice"));
    dialog.show();
    ASSERT_TRUE(isFound(dialog));
    addRun("later", 300, [](int) { return 0.1; });
    dialog.setBook(chosen("later"));
    EXPECT_EQ(named<QComboBox>(dialog, "calibrateRun")->count(), 4);
    EXPECT_THAT(named<QComboBox>(dialog, "calibrateRun")->currentText().toStdString(), HasSubstr("ice"));
    EXPECT_TRUE(named<QPushButton>(dialog, "calibrateKeep")->isEnabled()); // what was found still stands
    dialog.setBook({});
    EXPECT_THAT(result(dialog), HasSubstr("There is no run in the book yet"));
    EXPECT_FALSE(named<QPushButton>(dialog, "calibrateKeep")->isEnabled());
}

} // namespace
} // namespace potwatch::window
