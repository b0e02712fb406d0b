// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/batch_tables.h"
#include "app/window/pot_form/pot_form_model.h"
#include "io/batch/batch_file.h"
#include "tests/app/window/pot_form/form_run.h"

#include <QTemporaryDir>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

namespace potwatch::window {
namespace {

class FormModel : public testing::Test {
protected:
    void SetUp() override {
        needsApplication();
        QObject::connect(&form, &PotFormModel::batchEdited, [this](const Batch& batch, const QString& words) {
            edited.push_back(batch);
            what = words.toStdString();
        });
        QObject::connect(&form, &PotFormModel::message, [this](const QString& words) { said = words.toStdString(); });
        form.setRun(runView());
    }

    bool type(std::string_view place, const char* words) { return form.commit(place, QString::fromUtf8(words)); }
    std::string problem(std::string_view place) { return form.problem(place).toStdString(); }

    PotFormModel form;
    std::vector<Batch> edited;
    std::string what;
    std::string said;
};

TEST_F(FormModel, oneFieldChangesOneThingAndSaysWhat) {
    ASSERT_TRUE(type("charge.resin_g", "85"));
    ASSERT_EQ(edited.size(), 1U);
    Batch expected = runView()->notes.batch;
    expected.charge.resin_g = 85.0;
    EXPECT_EQ(edited.front(), expected);
    EXPECT_EQ(what, "resin 80 to 85 g");
    ASSERT_TRUE(type("charge.resin_g", ""));
    EXPECT_EQ(what, "resin taken out");
    ASSERT_TRUE(type("charge.resin_g", "0,09 kg"));
    EXPECT_EQ(what, "resin 90 g");
    EXPECT_EQ(form.text("charge.resin_g").toStdString(), "90");
}

TEST_F(FormModel, sameValueIsNoEdit) {
    EXPECT_TRUE(type("charge.resin_g", "80,0 g"));
    EXPECT_TRUE(edited.empty());
}

TEST_F(FormModel, refusesByTheRulesOfTheBatchFileAndSaysWhatToDo) {
    EXPECT_FALSE(type("charge.resin_g", "-5"));
    EXPECT_TRUE(edited.empty());
    EXPECT_EQ(problem("charge.resin_g"), "Resin is -5; it has to be more than 0; leave it out where it is not known");
    EXPECT_FALSE(type("cure.gel_degree", "55"));
    EXPECT_THAT(problem("cure.gel_degree"), testing::HasSubstr("it has to be from 0 to 1"));
    EXPECT_FALSE(type("sensor.lag_s", "x"));
    EXPECT_THAT(problem("sensor.lag_s"), testing::HasSubstr("not a number"));
    EXPECT_TRUE(type("charge.resin_g", "5"));
    EXPECT_EQ(problem("charge.resin_g"), "");
}

TEST_F(FormModel, everyFieldTakesAValueGivesItBackAndCanBeEmptiedAgain) {
    form.setRun(nullptr);
    auto empty = runView();
    empty->notes.batch = Batch{};
    form.setRun(empty);
    for (const FormField& field : form.fields()) {
        const std::string value = field.kind == FieldKind::number   ? "0.5"
                                  : field.kind == FieldKind::flag   ? "true"
                                  : field.kind == FieldKind::choice ? field.choices.back().first
                                                                    : "pot_c";
        if (field.place == "charge.water_g") {
            continue; // only in a blank
        }
        ASSERT_TRUE(form.commit(field.place, QString::fromStdString(value))) << field.place << problem(field.place);
        EXPECT_EQ(form.text(field.place).toStdString(), value) << field.place;
        // What the form made is a batch file that reads back equal.
        auto back = batch::readText(batch::write(form.batch()), "");
        ASSERT_TRUE(back) << field.place;
        back->file = form.batch().file;
        EXPECT_EQ(*back, form.batch()) << field.place;
        const QString none = field.place == "dose.role" ? QStringLiteral("catalyst") : QString();
        ASSERT_TRUE(form.commit(field.place, none)) << field.place;
        EXPECT_EQ(form.batch(), Batch{}) << field.place;
    }
}

TEST_F(FormModel, saysWhatStandsInForAnEmptyField) {
    EXPECT_EQ(form.placeholder("charge.specific_heat_j_per_g_k").toStdString(), "uses 1.9");
    EXPECT_THAT(form.hint("uncertainty.surroundings_k").toStdString(),
                testing::HasSubstr("a default of 0.5 K is used"));
    EXPECT_EQ(form.hint("charge.resin_g").toStdString(), "");
    EXPECT_EQ(form.placeholder("weighed.loss_g").toStdString(), "not stated");
}

TEST_F(FormModel, temperatureAndChannelOfTheSurroundingsTakeEachOthersPlace) {
    ASSERT_TRUE(type("surroundings.temperature_c", "21"));
    ASSERT_TRUE(type("surroundings.channel", "air_c"));
    EXPECT_FALSE(form.batch().surroundings.temperature_c);
    ASSERT_TRUE(type("surroundings.temperature_c", "22"));
    EXPECT_EQ(form.batch().surroundings.channel, "");
}

TEST_F(FormModel, blankHasWaterInsteadOfResin) {
    ASSERT_TRUE(type("batch.blank", "true"));
    EXPECT_FALSE(form.batch().charge.resin_g);
    EXPECT_FALSE(form.isShown("charge.resin_g"));
    EXPECT_TRUE(form.isShown("charge.water_g"));
    EXPECT_EQ(what, "a blank");
}

TEST_F(FormModel, sameAsLastRunIsOneEditThatLeavesNameStartEventsAndOutcome) {
    ASSERT_TRUE(form.takePrevious());
    ASSERT_EQ(edited.size(), 1U);
    EXPECT_EQ(what, "same as rod 02");
    const Batch now = edited.front();
    const Batch before = runView()->notes.batch;
    EXPECT_EQ(now.charge.resin_g, 75.0);
    EXPECT_EQ(now.vessel.name, "beaker 250");
    EXPECT_EQ(now.based_on, "rod 02");
    EXPECT_EQ(now.name, before.name);
    EXPECT_EQ(now.started, before.started);
    EXPECT_EQ(now.events, before.events);
    EXPECT_EQ(now.outcome, before.outcome);
}

TEST_F(FormModel, usualValueComesWithItsUncertaintyAndSaysSo) {
    const auto values = form.typicalValues("charge.specific_heat_j_per_g_k");
    ASSERT_FALSE(values.empty());
    ASSERT_TRUE(form.takeTypical("charge.specific_heat_j_per_g_k", values[0]));
    EXPECT_EQ(form.batch().charge.specific_heat_j_per_g_k, values[0].value);
    ASSERT_TRUE(form.batch().uncertainty.specific_heat_rel);
    EXPECT_NEAR(*form.batch().uncertainty.specific_heat_rel, values[0].u / values[0].value, 0.005);
    EXPECT_THAT(said, testing::HasSubstr("standard uncertainty"));
    EXPECT_THAT(said, testing::HasSubstr("Source:"));
}

TEST_F(FormModel, vesselIsMaterialTimesMass) {
    const auto materials = form.typicalValues("vessel.heat_capacity_j_per_k");
    ASSERT_TRUE(form.takeVessel(materials[0], 100.0)); // borosilicate glass
    EXPECT_EQ(form.batch().vessel.heat_capacity_j_per_k, 83.0);
    EXPECT_GT(form.batch().uncertainty.vessel_j_per_k.value_or(0.0), 3.0);
    EXPECT_EQ(what, "vessel of 100 g of borosilicate glass");
}

TEST_F(FormModel, waterBoilsAtTheStatedPressure) {
    ASSERT_TRUE(type("surroundings.pressure_kpa", "900 hPa"));
    ASSERT_TRUE(form.takeBoilingOfWater());
    EXPECT_NEAR(*form.batch().charge.boiling_c, 96.7, 0.05); // IF97: 90 kPa, 96.69 °C
}

TEST_F(FormModel, densityFollowsFromTheWeighings) {
    EXPECT_TRUE(form.weighedDensity().isEmpty());
    ASSERT_TRUE(type("outcome.weighed_dry_g", "12.128"));
    ASSERT_TRUE(type("outcome.weighed_in_water_g", "2.158"));
    EXPECT_THAT(form.weighedDensity().toStdString(), testing::HasSubstr("1.214 g/mL (water 0.9982 g/mL at 20 °C"));
    ASSERT_TRUE(form.takeWeighedDensity());
    EXPECT_NEAR(*form.batch().outcome.density_g_per_ml, 1.214, 1e-9);
    EXPECT_FALSE(form.canTakeWeighedDensity());
    EXPECT_FALSE(type("outcome.weighed_in_water_g", "20"));
    EXPECT_THAT(problem("outcome.weighed_in_water_g"), testing::HasSubstr("swapped"));
}

TEST_F(FormModel, tomlGoesOutAndComesBack) {
    const QTemporaryDir folder;
    const std::string file = folder.path().toStdString() + "/a.batch.toml";
    ASSERT_TRUE(type("vessel.heat_capacity_j_per_k", "31"));
    ASSERT_TRUE(form.exportToml(QString::fromStdString(file)));
    ASSERT_TRUE(type("vessel.heat_capacity_j_per_k", ""));
    ASSERT_TRUE(form.importToml(QString::fromStdString(file)));
    EXPECT_EQ(form.batch().vessel.heat_capacity_j_per_k, 31.0);
    EXPECT_EQ(what, "batch file a.batch.toml");
}

TEST_F(FormModel, faultsOfAnImportNameTheirLines) {
    const QTemporaryDir folder;
    const std::string file = folder.path().toStdString() + "/bad.toml";
    std::ofstream(file) << "format = 1\n[charge]\nresin_g = -1\nresin = 2\n";
    EXPECT_FALSE(form.importToml(QString::fromStdString(file)));
    EXPECT_TRUE(edited.empty());
    ASSERT_EQ(form.importFaults().size(), 2U);
    EXPECT_EQ(form.importFaults()[0].where.line, 3);
    EXPECT_EQ(form.importFaults()[1].where.line, 4);
}

TEST_F(FormModel, stepsOfTheDoseAreATable) {
    DoseStepTable table(form);
    table.addRow();
    ASSERT_EQ(table.rowCount(), 1);
    EXPECT_TRUE(table.setData(table.index(0, 0), QStringLiteral("2 min"), Qt::EditRole));
    EXPECT_TRUE(table.setData(table.index(0, 1), QStringLiteral("12"), Qt::EditRole));
    EXPECT_TRUE(table.setData(table.index(0, 2), table.choices(2).at(2), Qt::EditRole));
    EXPECT_EQ(form.batch().dose->steps,
              (std::vector<DoseStep>{{.time_s = 120.0, .amount = 12.0, .unit = DoseUnit::drop, .over_s = 0.0}}));
    EXPECT_FALSE(table.setData(table.index(0, 1), QStringLiteral("-1"), Qt::EditRole));
    EXPECT_FALSE(form.problem("dose.step").isEmpty());
    table.removeRow(0);
    EXPECT_FALSE(form.batch().dose); // nothing of it is stated any more
}

TEST_F(FormModel, probesAreARowAChannel) {
    ProbeTable table(form);
    ASSERT_EQ(table.rowCount(), 2);
    ASSERT_TRUE(table.setData(table.index(1, 1), QStringLiteral("air"), Qt::EditRole));
    ASSERT_TRUE(table.setData(table.index(1, 2), QStringLiteral("3"), Qt::EditRole));
    EXPECT_EQ(form.batch().probes, (std::vector<Probe>{{"air_c", ProbeRole::air, 3.0}}));
    ASSERT_TRUE(table.setData(table.index(1, 1), table.choices(1).at(0), Qt::EditRole));
    EXPECT_TRUE(form.batch().probes.empty());
}

TEST_F(FormModel, aCalibrationIsShownAndStaysWhereTheRoleIsTakenOut) {
    Batch batch = form.batch();
    batch.probes = {{.channel = "air_c",
                     .role = ProbeRole::air,
                     .lag_s = 4.0,
                     .lag_u_s = 0.4,
                     .calibration = ProbeCalibration{.ice_reading_c = 0.42}}};
    ASSERT_TRUE(form.replace(batch, QStringLiteral("calibrated"), "probe"));
    ProbeTable table(form);
    EXPECT_EQ(table.data(table.index(1, 3), Qt::DisplayRole).toString(), QStringLiteral("\u22120.42 K at 0 °C"));
    EXPECT_FALSE(table.flags(table.index(1, 3)) & Qt::ItemIsEditable);
    ASSERT_TRUE(table.setData(table.index(1, 1), table.choices(1).at(0), Qt::EditRole));
    ASSERT_EQ(form.batch().probes.size(), 1U);
    EXPECT_EQ(form.batch().probes[0].role, ProbeRole::other);
    EXPECT_TRUE(form.batch().probes[0].calibration);
    ASSERT_TRUE(table.setData(table.index(1, 2), QStringLiteral("6"), Qt::EditRole));
    EXPECT_FALSE(form.batch().probes[0].lag_u_s); // it was another lag's
}

} // namespace
} // namespace potwatch::window
