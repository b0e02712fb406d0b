// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/calibrate/know_pot_dialog.h"
#include "tests/analysis/findings/hot_water.h"
#include "tests/app/window/calibrate/dialog_fixture.h"

#include <QCheckBox>

#include <algorithm>
#include <optional>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;
using testing::HasSubstr;

class KnowingThePot : public DialogOfRuns {
protected:
    void SetUp() override {
        DialogOfRuns::SetUp();
        const potwatch::Run run = test::hotWaterRun({}, {.noise_k = 0.03});
        const std::vector<double>& reading_c = run.channels[0].values;
        addRun(
            "water", static_cast<int>(reading_c.size()) - 1,
            [&](int t) { return reading_c[static_cast<std::size_t>(t)]; }, "[vessel]\nname = \"beaker 250\"\n");
        addRun("room", 300, [](int) { return 21.0; });
    }
    [[nodiscard]] static bool says(const KnowPotDialog& dialog, const std::string& part) {
        return waitFor([&] { return words(dialog, "knowPotResult").find(part) != std::string::npos; });
    }
    static void state(const KnowPotDialog& dialog) {
        type(dialog, "knowPotWater", u"0,2 kg"_s);
        type(dialog, "knowPotHot", u"78"_s);
        type(dialog, "knowPotRoom", u"21"_s);
        named<QCheckBox>(dialog, "knowPotLid")->setChecked(true);
    }
};

TEST_F(KnowingThePot, findsVesselAndLossAndHandsThemOn) {
    KnowPotDialog dialog(chosen("water"));
    dialog.show();
    EXPECT_THAT(words(dialog, "knowPotResult"), HasSubstr("How much water"));
    EXPECT_FALSE(named<QPushButton>(dialog, "knowPotTake")->isEnabled());
    state(dialog);
    ASSERT_TRUE(waitFor([&] { return named<QPushButton>(dialog, "knowPotTake")->isEnabled(); }));
    EXPECT_THAT(words(dialog, "knowPotResult"), HasSubstr("J/K"));
    EXPECT_THAT(words(dialog, "knowPotResult"), HasSubstr("loss coefficient"));
    std::optional<std::pair<book::RunId, Batch>> taken;
    QObject::connect(&dialog, &KnowPotDialog::taken, &dialog, [&](const book::RunId& id, const Batch& batch) {
        taken = {id, batch};
    });
    click(dialog, "knowPotTake");
    ASSERT_TRUE(taken);
    EXPECT_EQ(taken->first, chosen("water").shown);
    EXPECT_TRUE(taken->second.blank);
    EXPECT_EQ(taken->second.charge.water_g, 200.0);
    EXPECT_EQ(taken->second.vessel.name, "beaker 250");
    EXPECT_EQ(taken->second.surroundings.temperature_c, 21.0);
    ASSERT_TRUE(taken->second.vessel.heat_capacity_j_per_k);
    EXPECT_NEAR(*taken->second.vessel.heat_capacity_j_per_k, 40.0,
                3.0 * taken->second.uncertainty.vessel_j_per_k.value_or(0.0));
    EXPECT_FALSE(dialog.isVisible());
}

TEST_F(KnowingThePot, choosesTheRunThatWasRecordedForItAsSoonAsItIsThere) {
    ChosenBook book = chosen("room");
    const ChosenBook all = chosen("water");
    const auto is_water = [&](const session::ListedRun& run) { return run.row.id == all.shown; };
    book.runs.erase(std::remove_if(book.runs.begin(), book.runs.end(), is_water), book.runs.end());
    KnowPotDialog dialog(book);
    dialog.show();
    const auto run_id = [&] { return named<QComboBox>(dialog, "knowPotRun")->currentData().toString().toStdString(); };
    dialog.choose(all.shown);
    EXPECT_EQ(run_id(), book.shown);
    dialog.setBook(all);
    EXPECT_EQ(run_id(), all.shown);
    EXPECT_EQ(named<QLineEdit>(dialog, "knowPotVessel")->text(), u"beaker 250"_s);
}

TEST_F(KnowingThePot, saysWhatIsMissing) {
    KnowPotDialog dialog(chosen("water"));
    dialog.show();
    type(dialog, "knowPotWater", u"200"_s);
    ASSERT_TRUE(says(dialog, "Give &quot;The room&quot;")) << words(dialog, "knowPotResult");
    EXPECT_FALSE(named<QPushButton>(dialog, "knowPotSave")->isEnabled());
    type(dialog, "knowPotRoom", u"cold"_s);
    EXPECT_TRUE(says(dialog, "The room, °C: ")) << words(dialog, "knowPotResult");
    type(dialog, "knowPotRoom", u"21"_s);
    named<QCheckBox>(dialog, "knowPotLid")->setChecked(true);
    // The vessel: the hot water's temperature is not stated.
    ASSERT_TRUE(says(dialog, "unknown: ")) << words(dialog, "knowPotResult");
    EXPECT_TRUE(named<QPushButton>(dialog, "knowPotSave")->isEnabled()); // the loss is known
}

TEST_F(KnowingThePot, tellsNothingFromARunWithoutHotWater) {
    KnowPotDialog dialog(chosen("room"));
    dialog.show();
    state(dialog);
    ASSERT_TRUE(says(dialog, "unknown: ")) << words(dialog, "knowPotResult");
    EXPECT_FALSE(named<QPushButton>(dialog, "knowPotTake")->isEnabled());
}

} // namespace
} // namespace potwatch::window
