// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/chart/chart_view.h"
#include "app/window/import/import_dialog.h"
#include "tests/app/window/window_fixture.h"

#include <QComboBox>
#include <QFile>
#include <QFileDialog>
#include <QLineEdit>
#include <QPushButton>
#include <QTabWidget>
#include <QTextBrowser>
#include <QTimer>

namespace potwatch::window {
namespace {

using testing::HasSubstr;

// A run from the table that a logger wrote to a plot to hand on, as one person does it in one sitting.
class WholeJob : public Window {
protected:
    void importByDialog(const QString& file) {
        window->start({}, {file});
        ImportDialog* dialog = nullptr;
        ASSERT_TRUE(waitFor([&] {
            dialog = window->findChild<ImportDialog*>();
            return dialog != nullptr && dialog->findChild<QPushButton*>(QStringLiteral("importAccept"))->isEnabled();
        }));
        QTest::keyClick(dialog, Qt::Key_Return);
        ASSERT_TRUE(waitFor([&] { return analysed(); }));
    }
    void showTab(int tab) {
        named<QTabWidget>("analyse tabs")->setCurrentIndex(tab);
        QApplication::processEvents();
    }
    void type(const char* field, const char* words) {
        auto* const line = named<QLineEdit>(field);
        ASSERT_NE(line, nullptr);
        line->setFocus();
        line->selectAll();
        QTest::keyClicks(line, QString::fromUtf8(words));
        QTest::keyClick(line, Qt::Key_Return);
        ASSERT_TRUE(waitFor([&] { return analysed(); }));
    }
    [[nodiscard]] ChartView* chart() const { return window->findChild<ChartView*>(); }
    void writeOnTheChart(double time_s, double temperature_c, const char* words) {
        chart()->setTool(ChartTool::text);
        const auto at = chart()->positionOf(PaneKind::temperature, time_s, temperature_c);
        ASSERT_TRUE(at);
        QTest::mouseClick(chart(), Qt::LeftButton, {}, at->toPoint());
        QLineEdit* entry = nullptr;
        for (auto* const line : chart()->findChildren<QLineEdit*>(QStringLiteral("annotation_entry"))) {
            entry = line->isHidden() ? entry : line;
        }
        ASSERT_NE(entry, nullptr);
        entry->setText(QString::fromUtf8(words));
        QTest::keyClick(entry, Qt::Key_Return);
        ASSERT_TRUE(waitFor([&] { return analysed(); }));
    }
    void exportPlot(const QString& file) {
        QTimer::singleShot(100, window.get(), [file] {
            auto* const dialog = qobject_cast<QFileDialog*>(QApplication::activeModalWidget());
            ASSERT_NE(dialog, nullptr);
            dialog->findChild<QLineEdit*>(QStringLiteral("fileNameEdit"))->setText(file);
            QMetaObject::invokeMethod(dialog, "accept");
        });
        trigger("export plot");
        ASSERT_TRUE(waitFor([&] { return QFile::exists(file); }));
    }
    [[nodiscard]] const Findings& found() const { return book().view()->analysis->findings; }
};

TEST_F(WholeJob, goesFromATableToAPlotToHandOn) {
    importByDialog(csv("rod-01.csv"));
    ASSERT_TRUE(analysed());
    EXPECT_FALSE(found().heat.released_j) << "no masses are stated yet";

    showTab(1);
    type("field.charge.resin_g", "80");
    type("field.charge.specific_heat_j_per_g_k", "2");
    type("field.vessel.heat_capacity_j_per_k", "25");
    type("field.surroundings.temperature_c", "20");
    ASSERT_TRUE(found().heat.heat_capacity_j_per_k);
    EXPECT_NEAR(found().heat.heat_capacity_j_per_k->value, 185.0, 1e-9);

    showTab(2);
    named<QLineEdit>("event time")->setText(QStringLiteral("150"));
    named<QComboBox>("event kind")->setEditText(QStringLiteral("pour"));
    QTest::mouseClick(named<QPushButton>("add event"), Qt::LeftButton);
    ASSERT_TRUE(waitFor([&] { return analysed() && book().view()->analysis->events.size() == 1; }));

    writeOnTheChart(250.0, 50.0, "turned milky");
    ASSERT_EQ(book().view()->notes.annotations.size(), 1U);
    EXPECT_NEAR(book().view()->notes.annotations[0].time_s, 250.0, 3.0);

    const QString plot = path("rod-01.svg");
    exportPlot(plot);
    QFile file(plot);
    ASSERT_TRUE(file.open(QIODevice::ReadOnly));
    const std::string svg = file.readAll().toStdString();
    EXPECT_THAT(svg, HasSubstr("turned milky"));
    EXPECT_THAT(svg, HasSubstr("pour"));

    const book::Notes notes = book().view()->notes;
    ASSERT_TRUE(close());
    open();
    ASSERT_TRUE(waitFor([&] { return analysed(); }));
    EXPECT_EQ(book().view()->notes, notes) << "all was kept as it was made";
}

TEST_F(WholeJob, everyStepIsUndoneInTurn) {
    importByDialog(csv("rod-01.csv"));
    const book::Notes before = book().view()->notes;
    showTab(1);
    type("field.charge.resin_g", "80");
    writeOnTheChart(250.0, 50.0, "turned milky");
    trigger("undo");
    EXPECT_TRUE(book().view()->notes.annotations.empty());
    EXPECT_EQ(book().view()->notes.batch.charge.resin_g, 80.0);
    trigger("undo");
    EXPECT_EQ(book().view()->notes, before);
    EXPECT_TRUE(waitFor([&] { return analysed(); }));
}

} // namespace
} // namespace potwatch::window
