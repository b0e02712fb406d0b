// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/pot_model.h"
#include "analysis/watch/live_balance.h"
#include "tests/reference/truth_pot.h"

#include <gtest/gtest.h>

#include <functional>
#include <vector>

namespace potwatch::watch {
namespace {

Batch truthBatch() {
    Batch batch;
    batch.charge = {.resin_g = 80.0, .specific_heat_j_per_g_k = 2.0};
    batch.vessel.heat_capacity_j_per_k = 25.0;
    batch.surroundings.temperature_c = 22.0;
    batch.cure.heat_of_reaction_j_per_g = 270.0;
    batch.dose = Dose{
        .total_g = 4.0, .rate_g_per_min = 0.2, .start_s = 120.0, .specific_heat_j_per_g_k = 3.0, .temperature_c = 22.0};
    return batch;
}

// The truth of a pot dosed at 0.2 g/min, and what the balance makes of its temperature, every half second.
struct Followed {
    std::vector<forecast::PotState> truth;
    std::vector<double> share;
    std::vector<double> mtsr_low_c; // 0 before the dose
    std::vector<double> mtsr_high_c;
};

// T + (1 - degree) m_r H / C of that pot.
double trueMtsrC(const forecast::PotState& truth) {
    return truth.temperature_c + (1.0 - truth.degree) * 21600.0 / (185.0 + 3.0 * truth.dosed_g);
}

Followed follow(const Batch& batch, double end_s) {
    std::vector<double> time_s;
    for (double t = 0.0; t <= end_s; t += 0.5) {
        time_s.push_back(t);
    }
    Followed followed{.truth = *forecast::simulatePot(reference::truthPot(0.2), time_s)};
    LiveBalance balance;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
        balance.add(time_s[i], followed.truth[i].temperature_c, std::nullopt, batch);
        const LiveDose dose{.dosed_g = followed.truth[i].dosed_g};
        followed.share.push_back(balance.reactedShareHigh(batch, dose).value_or(-1.0));
        followed.mtsr_low_c.push_back(balance.mtsrLowC(batch, dose).value_or(0.0));
        followed.mtsr_high_c.push_back(balance.mtsrHighC(batch, dose).value_or(0.0));
    }
    return followed;
}

TEST(LiveBalance, isTheDegreeOfCureWhereTheLossIsStated) {
    Batch batch = truthBatch();
    batch.vessel.loss_coefficient_w_per_k = 0.8;
    const Followed followed = follow(batch, 1500.0);
    for (std::size_t i = 0; i < followed.share.size(); i += 100) {
        EXPECT_NEAR(followed.share[i], followed.truth[i].degree, 0.003)
            << "at " << 0.5 * static_cast<double>(i) << " s";
        if (followed.truth[i].dosed_g > 0.0) {
            EXPECT_NEAR(followed.mtsr_high_c[i], trueMtsrC(followed.truth[i]), 0.4);
            EXPECT_EQ(followed.mtsr_low_c[i], followed.mtsr_high_c[i]);
        }
    }
}

TEST(LiveBalance, boundsHowFarThePotCouldComeWhereTheLossIsNotStated) {
    const Followed followed = follow(truthBatch(), 3000.0);
    int compared = 0;
    for (std::size_t i = 0; i < followed.truth.size(); ++i) {
        if (followed.truth[i].dosed_g > 0.0) {
            ASSERT_LE(followed.mtsr_low_c[i], trueMtsrC(followed.truth[i]) + 0.01) << 0.5 * static_cast<double>(i);
            ASSERT_GE(followed.mtsr_high_c[i], trueMtsrC(followed.truth[i]) - 0.01) << 0.5 * static_cast<double>(i);
            ++compared;
        }
    }
    EXPECT_GT(compared, 5000);
    // At 500 s, where it matters, they are close; after the peak what was reached stays proven.
    EXPECT_LT(followed.mtsr_high_c[1000] - followed.mtsr_low_c[1000], 15.0);
    EXPECT_LT(followed.mtsr_high_c.back(), 70.0);
}

// A cold pot in a warm oven in which nothing reacts.
TEST(LiveBalance, warmerSurroundingsProveNothing) {
    Batch batch = truthBatch();
    batch.surroundings.temperature_c = 60.0;
    const LiveDose dose{.dosed_g = 4.0};
    LiveBalance balance;
    double temperature_c = 22.0;
    for (double t = 0.0; t <= 900.0; t += 0.5) {
        balance.add(t, temperature_c, std::nullopt, batch);
        ASSERT_EQ(balance.reactedShareLow(batch, dose), 0.0) << t;
        ASSERT_GE(*balance.mtsrHighC(batch, dose), temperature_c + 21600.0 / 197.0 - 1e-9);
        temperature_c += 0.5 * 0.8 / 197.0 * (60.0 - temperature_c); // 0.8 W/K, 197 J/K
    }
    EXPECT_GT(temperature_c, 58.0);
    // For all that is known it may have reacted all the same: as much as warms it.
    EXPECT_NEAR(*balance.reactedShareHigh(batch, dose), 197.0 * (temperature_c - 22.0) / 21600.0, 0.01);
}

TEST(LiveBalance, allCanReactWhereNothingIsDosed) {
    Batch batch = truthBatch();
    batch.dose.reset();
    LiveBalance balance;
    balance.add(0.0, 22.0, std::nullopt, batch);
    EXPECT_NEAR(*balance.mtsrHighC(batch, {}), 22.0 + 21600.0 / 185.0, 1e-9);
    EXPECT_FALSE(balance.mtsrLowC(batch, {})) << "it may want a catalyst that is not stated";
}

TEST(LiveBalance, isNeverUnderTheDegreeOfCureWhereItIsNot) {
    const Followed followed = follow(truthBatch(), 3000.0);
    for (std::size_t i = 0; i < followed.share.size(); ++i) {
        ASSERT_GE(followed.share[i], followed.truth[i].degree - 1e-4) << 0.5 * static_cast<double>(i);
    }
    EXPECT_LT(followed.share[1000], 0.15) << "at 500 s, where the pot is still cold, it is of use";
}

TEST(LiveBalance, ofAReactantOnlyWhatIsDosedHasStillToReact) {
    Batch batch = truthBatch();
    LiveBalance balance;
    balance.add(0.0, 22.0, std::nullopt, batch);
    EXPECT_FALSE(balance.unreactedShareLow(batch, {.dosed_g = 0.0}));
    EXPECT_EQ(balance.unreactedShareLow(batch, {.dosed_g = 2.0, .share = 0.5}), 1.0) << "a catalyst lets all react";
    batch.dose->role = DoseRole::reactant;
    EXPECT_EQ(balance.unreactedShareLow(batch, {.dosed_g = 2.0, .share = 0.5}), 0.5);
    EXPECT_FALSE(balance.unreactedShareLow(batch, {.dosed_g = 2.0})) << "of what total";
}

TEST(LiveBalance, theRestOfACatalysedPotCouldTakeItToTheWholeRise) {
    LiveBalance balance;
    balance.add(0.0, 22.0, std::nullopt, truthBatch());
    EXPECT_FALSE(balance.mtsrLowC(truthBatch(), {.dosed_g = 0.0}));
    // 80 g x 270 J/g / (160 + 25 + 2 g x 3 J/(g K)) = 113.1 K on top of 22 °C.
    EXPECT_NEAR(*balance.mtsrLowC(truthBatch(), {.dosed_g = 2.0, .share = 0.5}), 22.0 + 21600.0 / 191.0, 1e-9);
}

TEST(LiveBalance, ofAReactantOnlyWhatIsInCounts) {
    Batch batch = truthBatch();
    batch.dose->role = DoseRole::reactant;
    LiveBalance balance;
    balance.add(0.0, 22.0, std::nullopt, batch);
    EXPECT_NEAR(*balance.mtsrLowC(batch, {.dosed_g = 2.0, .share = 0.5}), 22.0 + 0.5 * 21600.0 / 191.0, 1e-9);
    EXPECT_FALSE(balance.mtsrLowC(batch, {.dosed_g = 2.0, .share = {}}));
}

TEST(LiveBalance, saysNothingWhereAFigureIsMissing) {
    for (const auto& forget : std::vector<std::function<void(Batch&)>>{
             [](Batch& b) { b.charge.resin_g.reset(); }, [](Batch& b) { b.charge.specific_heat_j_per_g_k.reset(); },
             [](Batch& b) { b.vessel.heat_capacity_j_per_k.reset(); },
             [](Batch& b) { b.cure.heat_of_reaction_j_per_g.reset(); },
             [](Batch& b) { b.heater.channel = "heater_w"; }}) {
        Batch batch = truthBatch();
        forget(batch);
        LiveBalance balance;
        balance.add(0.0, 22.0, std::nullopt, batch);
        EXPECT_FALSE(balance.reactedShareHigh(batch, {.dosed_g = 1.0}));
        EXPECT_FALSE(balance.mtsrLowC(batch, {.dosed_g = 1.0, .share = 0.25}));
        EXPECT_FALSE(balance.mtsrHighC(batch, {.dosed_g = 1.0, .share = 0.25}));
    }
}

TEST(LiveBalance, countsTheWarmingFromTheStartOfTheDose) {
    const Batch batch = truthBatch();
    LiveBalance balance;
    balance.add(0.0, 22.0, std::nullopt, batch);
    balance.setDosing(DosePhase::before);
    EXPECT_FALSE(balance.warmedK());
    balance.add(60.0, 24.0, std::nullopt, batch);
    balance.setDosing(DosePhase::during);
    balance.add(90.0, 25.5, std::nullopt, batch);
    EXPECT_DOUBLE_EQ(*balance.warmedK(), 1.5);
}

} // namespace
} // namespace potwatch::watch
