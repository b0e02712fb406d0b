// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/pot_form/pot_form.h"
#include "app/window/pot_form/vessel_chooser.h"
#include "tests/app/window/pot_form/form_run.h"

#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QTest>
#include <QToolButton>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <memory>

namespace potwatch::window {
namespace {

// The form as a person sees it, driven by keyboard and mouse; what came of it is asked of the model.
class Form : public testing::Test {
protected:
    void SetUp() override {
        needsApplication();
        QObject::connect(&model, &PotFormModel::batchEdited,
                         [this](const Batch&, const QString& words) { what.push_back(words.toStdString()); });
        widget = std::make_unique<PotForm>(model);
        widget->resize(380, 700);
        widget->show();
        model.setRun(runView());
        QApplication::setActiveWindow(widget.get());
        QApplication::processEvents();
    }

    QLineEdit& entry(const char* place) {
        auto* const found = widget->findChild<QLineEdit*>(QStringLiteral("field.") + QString::fromUtf8(place));
        EXPECT_NE(found, nullptr) << place;
        return *found;
    }
    void type(const char* place, const char* words) {
        QLineEdit& line = entry(place);
        line.setFocus();
        line.selectAll();
        QTest::keyClicks(&line, QString::fromUtf8(words));
        QTest::keyClick(&line, Qt::Key_Return);
    }
    void click(const char* name) {
        auto* const button = widget->findChild<QAbstractButton*>(QString::fromUtf8(name));
        ASSERT_NE(button, nullptr) << name;
        QTest::mouseClick(button, Qt::LeftButton);
    }

    PotFormModel model;
    std::vector<std::string> what;
    std::unique_ptr<PotForm> widget;
};

TEST_F(Form, isFilledByTyping) {
    type("charge.resin_g", "85,5");
    type("vessel.heat_capacity_j_per_k", "25");
    EXPECT_EQ(model.batch().charge.resin_g, 85.5);
    EXPECT_EQ(model.batch().vessel.heat_capacity_j_per_k, 25.0);
    EXPECT_EQ(what, (std::vector<std::string>{"resin 80 to 85.5 g", "vessel: heat capacity 25 J/K"}));
}

TEST_F(Form, takesWhatWasTypedWhenTheFieldIsLeft) {
    QLineEdit& resin = entry("charge.resin_g");
    resin.setFocus();
    resin.selectAll();
    QTest::keyClicks(&resin, QStringLiteral("90"));
    QTest::keyClick(&resin, Qt::Key_Tab);
    EXPECT_EQ(model.batch().charge.resin_g, 90.0);
}

TEST_F(Form, takesWhatWasTypedAfterARestAndLeavesTheTextAlone) {
    QLineEdit& resin = entry("charge.resin_g");
    resin.setFocus();
    resin.selectAll();
    QTest::keyClicks(&resin, QStringLiteral("0,09 kg"));
    EXPECT_TRUE(QTest::qWaitFor([this] { return model.batch().charge.resin_g == 90.0; }, 4000));
    EXPECT_EQ(resin.text(), QStringLiteral("0,09 kg"));
    QTest::keyClick(&resin, Qt::Key_Backspace);
    QTest::keyClick(&resin, Qt::Key_Backspace);
    QTest::keyClicks(&resin, QStringLiteral("k"));
    QTest::qWait(2000); // half a unit is refused, and nothing is said of it yet
    EXPECT_EQ(model.batch().charge.resin_g, 90.0);
    EXPECT_TRUE(model.problem("charge.resin_g").isEmpty());
    EXPECT_EQ(resin.text(), QStringLiteral("0,09 k"));
}

TEST_F(Form, keepsWhatWasRefusedAndSaysWhyBesideIt) {
    type("charge.resin_g", "-5");
    EXPECT_EQ(model.batch().charge.resin_g, 80.0);
    EXPECT_EQ(entry("charge.resin_g").text().toStdString(), "-5");
    auto* const problem = widget->findChild<QLabel*>(QStringLiteral("problem.charge.resin_g"));
    EXPECT_TRUE(problem->isVisible());
    EXPECT_THAT(problem->text().toStdString(), testing::HasSubstr("more than 0"));
    QTest::keyClicks(&entry("charge.resin_g"), QStringLiteral("1"));
    QTest::keyClick(&entry("charge.resin_g"), Qt::Key_Escape);
    EXPECT_EQ(entry("charge.resin_g").text().toStdString(), "80");
    EXPECT_FALSE(problem->isVisible());
}

TEST_F(Form, keepsWhatIsBeingTypedWhenNewFindingsCome) {
    QLineEdit& resin = entry("charge.resin_g");
    resin.setFocus();
    resin.selectAll();
    QTest::keyClicks(&resin, QStringLiteral("12"));
    auto again = runView();
    again->notes.batch.vessel.name = "mug";
    model.setRun(again);
    EXPECT_EQ(resin.text().toStdString(), "12");
    EXPECT_EQ(entry("vessel.name").text().toStdString(), "mug");
}

TEST_F(Form, sameAsLastRunFillsIt) {
    click("same as last run");
    EXPECT_EQ(entry("charge.resin_g").text().toStdString(), "75");
    EXPECT_EQ(entry("vessel.name").text().toStdString(), "beaker 250");
    EXPECT_EQ(what, std::vector<std::string>{"same as rod 02"});
}

TEST_F(Form, vesselIsChosenByMaterialAndMass) {
    auto* const chooser = new VesselChooser(model, widget.get());
    chooser->popUpAt({300, 300});
    auto* const mass = chooser->findChild<QLineEdit*>(QStringLiteral("vessel mass"));
    auto* const take = chooser->findChild<QPushButton*>(QStringLiteral("take vessel"));
    EXPECT_FALSE(take->isEnabled());
    QTest::keyClicks(mass, QStringLiteral("100"));
    EXPECT_THAT(chooser->findChild<QLabel*>(QStringLiteral("vessel result"))->text().toStdString(),
                testing::HasSubstr("83 J/K"));
    QTest::mouseClick(take, Qt::LeftButton);
    EXPECT_EQ(entry("vessel.heat_capacity_j_per_k").text().toStdString(), "83");
    EXPECT_TRUE(model.batch().uncertainty.vessel_j_per_k);
}

TEST_F(Form, uncertaintyIsFoldedAwayUntilItIsAskedFor) {
    EXPECT_FALSE(entry("uncertainty.lag_s").isVisible());
    EXPECT_TRUE(widget->goTo("uncertainty.lag_s"));
    EXPECT_TRUE(entry("uncertainty.lag_s").isVisible());
    EXPECT_TRUE(entry("uncertainty.lag_s").hasFocus());
    EXPECT_FALSE(widget->goTo("uncertainty.nothing"));
}

TEST_F(Form, showsTheNextStepOfTheLadder) {
    auto* const next = widget->findChild<QLabel*>(QStringLiteral("next step"));
    EXPECT_THAT(next->text().toStdString(), testing::HasSubstr("the probe's lag"));
    type("sensor.lag_s", "4");
    EXPECT_THAT(next->text().toStdString(), testing::HasSubstr("the vessel's heat capacity"));
}

TEST_F(Form, everyEntryHasANameForThoseWhoHearIt) {
    for (const FormField& field : model.fields()) {
        if (field.group == FieldGroup::outcome) {
            continue; // on a tab of its own
        }
        auto* const one = widget->findChild<QWidget*>(QStringLiteral("field.") + QString::fromStdString(field.place));
        ASSERT_NE(one, nullptr) << field.place;
        EXPECT_FALSE(one->accessibleName().isEmpty()) << field.place;
    }
}

} // namespace
} // namespace potwatch::window
