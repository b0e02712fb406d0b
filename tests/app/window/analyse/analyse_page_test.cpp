// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/analyse_page.h"
#include "app/window/analyse/events_panel.h"
#include "app/window/analyse/exporter.h"
#include "app/window/analyse/outcome_panel.h"
#include "app/window/chart/chart_view.h"
#include "tests/app/window/pot_form/form_run.h"

#include <QBuffer>
#include <QClipboard>
#include <QComboBox>
#include <QDragEnterEvent>
#include <QDropEvent>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QMimeData>
#include <QPushButton>
#include <QSignalSpy>
#include <QTabWidget>
#include <QTableView>
#include <QTemporaryDir>
#include <QTest>
#include <QTextBrowser>
#include <QToolButton>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <memory>
#include <stdexcept>

namespace potwatch::window {
namespace {

using testing::HasSubstr;

// The page as a person uses it; what came of it is asked of the notes that it wants kept.
class Page : public testing::Test {
protected:
    void SetUp() override {
        needsApplication();
        page = std::make_unique<AnalysePage>();
        QObject::connect(page.get(), &AnalysePage::notesEdited,
                         [this](const book::Notes& edited, const QString& words) {
                             notes = edited;
                             what.push_back(words.toStdString());
                         });
        QObject::connect(page.get(), &AnalysePage::message,
                         [this](const QString& words) { said = words.toStdString(); });
        page->resize(960, 752);
        page->show();
        page->setRun(runView());
        QApplication::setActiveWindow(page.get());
        QApplication::processEvents();
        chart = page->findChild<ChartView*>();
        ASSERT_NE(chart, nullptr);
    }

    template<class Widget>
    Widget& find(const char* name) {
        auto* const found = page->findChild<Widget*>(QString::fromUtf8(name));
        if (found == nullptr) {
            throw std::runtime_error(name);
        }
        return *found;
    }
    QTableView& findings() { return find<QTableView>("findings"); }
    std::string explanation() { return find<QTextBrowser>("explanation").toPlainText().toStdString(); }
    void chooseFinding(const char* name) {
        const QAbstractItemModel& model = *findings().model();
        for (int row = 0; row < model.rowCount(); ++row) {
            const QModelIndex index = model.index(row, 1);
            if (index.data().toString().startsWith(QString::fromUtf8(name))) {
                findings().scrollTo(index);
                QTest::mouseClick(findings().viewport(), Qt::LeftButton, {}, findings().visualRect(index).center());
                return;
            }
        }
        ADD_FAILURE() << "no finding " << name;
    }
    void showTab(int tab) { find<QTabWidget>("analyse tabs").setCurrentIndex(tab); }
    void click(const char* name) { QTest::mouseClick(&find<QAbstractButton>(name), Qt::LeftButton); }

    std::unique_ptr<AnalysePage> page;
    ChartView* chart = nullptr;
    book::Notes notes;
    std::vector<std::string> what;
    std::string said;
};

TEST_F(Page, saysWhatToDoFirstWhereThereIsNoRun) {
    page->setRun(nullptr);
    EXPECT_TRUE(find<QLabel>("analyse empty").isVisible());
    page->setRun(runView());
    EXPECT_FALSE(find<QLabel>("analyse empty").isVisible());
    EXPECT_EQ(find<QLabel>("run title").text().toStdString(), "rod 03");
}

TEST_F(Page, clickOnAFindingLightsItUpAndExplainsIt) {
    EXPECT_THAT(explanation(), HasSubstr("Choose a finding"));
    const QImage before = chart->grab().toImage();
    chooseFinding("onset");
    EXPECT_THAT(explanation(), HasSubstr("ISO 11357-1"));
    QApplication::processEvents();
    EXPECT_NE(chart->grab().toImage(), before);
    // Escape takes both away.
    QTest::keyClick(&findings(), Qt::Key_Escape);
    EXPECT_THAT(explanation(), HasSubstr("Choose a finding"));
    QApplication::processEvents();
    EXPECT_EQ(chart->grab().toImage(), before);
}

TEST_F(Page, findingsAreWalkedThroughByKeyboard) {
    findings().setFocus();
    chooseFinding("onset");
    QTest::keyClick(&findings(), Qt::Key_Down);
    EXPECT_THAT(explanation(), HasSubstr("rises fastest"));
}

TEST_F(Page, numbersFindingsAsTheChartsPins) {
    const QAbstractItemModel& model = *findings().model();
    std::vector<int> numbers;
    for (int row = 0; row < model.rowCount(); ++row) {
        if (const int number = model.index(row, 0).data().toString().toInt(); number > 0) {
            numbers.push_back(number);
        }
    }
    EXPECT_FALSE(numbers.empty());
    EXPECT_TRUE(std::is_sorted(numbers.begin(), numbers.end()));
    EXPECT_EQ(numbers.front(), 1);
}

TEST_F(Page, draggedLandmarkIsPutByHandAndCanBeReset) {
    Q_EMIT chart->landmarkMoved(LandmarkKind::peak, 321.0);
    EXPECT_EQ(notes.overrides, (std::vector<LandmarkOverride>{{LandmarkKind::peak, 321.0}}));
    EXPECT_EQ(what.back(), "peak put at 321 s");
    // The window keeps the notes, analyses anew and gives the run again.
    auto again = runView();
    again->notes = notes;
    Analysis analysis = *again->analysis;
    analysis.findings.by_hand = {LandmarkKind::peak};
    again->analysis = std::make_shared<const Analysis>(analysis);
    page->setRun(again);
    chooseFinding("peak");
    EXPECT_THAT(explanation(), HasSubstr("put by hand"));
    Q_EMIT find<QTextBrowser>("explanation").anchorClicked(QUrl(QStringLiteral("reset:peak")));
    EXPECT_TRUE(notes.overrides.empty());
    EXPECT_EQ(what.back(), "peak reset");
}

TEST_F(Page, aSecondMoveOfALandmarkTakesTheFirstOnesPlace) {
    Q_EMIT chart->landmarkMoved(LandmarkKind::onset, 100.0);
    Q_EMIT chart->landmarkMoved(LandmarkKind::onset, 110.0);
    EXPECT_EQ(notes.overrides, (std::vector<LandmarkOverride>{{LandmarkKind::onset, 110.0}}));
    Q_EMIT chart->landmarkReset(LandmarkKind::onset);
    EXPECT_TRUE(notes.overrides.empty());
}

TEST_F(Page, annotationsOfTheChartGoIntoTheNotes) {
    Annotation text{.kind = AnnotationKind::text, .time_s = 100.0, .value = 50.0, .text = "stirred"};
    Q_EMIT chart->annotationAdded(text);
    EXPECT_EQ(notes.annotations, std::vector<Annotation>{text});
    EXPECT_EQ(what.back(), "text \"stirred\"");
    text.text = "poured";
    Q_EMIT chart->annotationChanged(0, text);
    EXPECT_EQ(notes.annotations.front().text, "poured");
    Q_EMIT chart->annotationRemoved(0);
    EXPECT_TRUE(notes.annotations.empty());
    Q_EMIT chart->annotationRemoved(0); // there is none: nothing happens
    EXPECT_EQ(what.size(), 3U);
}

TEST_F(Page, eventIsMarkedFromTheChart) {
    Q_EMIT chart->eventWanted(240.04);
    EXPECT_EQ(find<QLineEdit>("event time").text().toStdString(), "240");
    auto& kind = find<QComboBox>("event kind");
    QTest::keyClicks(kind.lineEdit(), QStringLiteral("gel"));
    QTest::keyClick(kind.lineEdit(), Qt::Key_Return);
    ASSERT_EQ(notes.batch.events.size(), 2U);
    EXPECT_EQ(notes.batch.events[1], (Event{.time_s = 240.0, .kind = "gel", .text = ""}));
    EXPECT_EQ(what.back(), "\"gel\" at 240 s");
}

TEST_F(Page, eventsAreTypedEditedAndTakenOut) {
    showTab(2);
    find<QLineEdit>("event time").setText(QStringLiteral("1 min"));
    find<QComboBox>("event kind").setEditText(QStringLiteral("pour"));
    click("add event");
    ASSERT_EQ(notes.batch.events.size(), 2U);
    EXPECT_EQ(notes.batch.events[0].kind, "pour"); // by time
    auto& table = find<QTableView>("events");
    EXPECT_TRUE(table.model()->setData(table.model()->index(0, 0), QStringLiteral("30"), Qt::EditRole));
    EXPECT_EQ(notes.batch.events[0].time_s, 30.0);
    EXPECT_FALSE(table.model()->setData(table.model()->index(0, 0), QStringLiteral("soon"), Qt::EditRole));
    EXPECT_THAT(said, HasSubstr("not a number"));
    table.setCurrentIndex(table.model()->index(0, 0));
    QTest::keyClick(&table, Qt::Key_Delete);
    EXPECT_EQ(notes.batch.events.size(), 1U);
    click("add event");
    EXPECT_TRUE(find<QLabel>("event problem").isVisible());
}

TEST_F(Page, warningLeadsToTheFieldThatMendsIt) {
    auto& warnings = find<QListWidget>("warnings");
    ASSERT_EQ(warnings.count(), 2);
    Q_EMIT warnings.itemActivated(warnings.item(0));
    EXPECT_EQ(find<QTabWidget>("analyse tabs").currentIndex(), 1);
    EXPECT_TRUE(find<QLineEdit>("field.sensor.lag_s").hasFocus());
}

TEST_F(Page, oneEditAfterAnotherKeepsBoth) {
    showTab(1);
    auto& resin = find<QLineEdit>("field.charge.resin_g");
    resin.setFocus();
    resin.selectAll();
    QTest::keyClicks(&resin, QStringLiteral("85"));
    QTest::keyClick(&resin, Qt::Key_Return);
    Q_EMIT chart->landmarkMoved(LandmarkKind::peak, 300.0);
    EXPECT_EQ(notes.batch.charge.resin_g, 85.0);
    EXPECT_EQ(notes.overrides.size(), 1U);
    EXPECT_EQ(what, (std::vector<std::string>{"resin 80 to 85 g", "peak put at 300 s"}));
}

TEST_F(Page, theSameRunAgainKeepsViewAndTool) {
    chart->showTime({100.0, 200.0});
    click("tool text");
    EXPECT_EQ(chart->tool(), ChartTool::text);
    auto again = runView();
    again->analysis = std::make_shared<const Analysis>(*again->analysis);
    page->setRun(again);
    QApplication::processEvents();
    EXPECT_NEAR(chart->shownTime().low, 100.0, 1e-6);
    EXPECT_EQ(chart->tool(), ChartTool::text);
}

TEST_F(Page, theFindingLookedAtStaysChosenWhenItIsComputedAnew) {
    chooseFinding("peak");
    auto again = runView();
    Analysis analysis = *again->analysis;
    analysis.findings.landmarks.peak->time_s = normalEstimate(123.0, 1.0);
    again->analysis = std::make_shared<const Analysis>(analysis);
    page->setRun(again);
    EXPECT_THAT(explanation(), HasSubstr("peak: 123"));
    page->setRun(runView("2"));
    EXPECT_THAT(explanation(), HasSubstr("Choose a finding"));
}

TEST_F(Page, cellBeingTypedIntoStaysOpenWhenNewFindingsCome) {
    showTab(2);
    auto& table = find<QTableView>("events");
    table.setCurrentIndex(table.model()->index(0, 2));
    table.edit(table.currentIndex());
    auto* const editor = table.findChild<QLineEdit*>();
    ASSERT_NE(editor, nullptr);
    QTest::keyClicks(editor, QStringLiteral("slowly"));
    auto again = runView();
    again->analysis = std::make_shared<const Analysis>(*again->analysis);
    page->setRun(again);
    ASSERT_EQ(table.findChild<QLineEdit*>(), editor);
    EXPECT_EQ(editor->text().toStdString(), "slowly");
    QTest::keyClick(editor, Qt::Key_Return);
    QApplication::processEvents();
    EXPECT_EQ(notes.batch.events.at(0).text, "slowly");
}

TEST_F(Page, showsOldFindingsAsOldWhileNewOnesAreWorkedOut) {
    const QModelIndex cell = findings().model()->index(1, 1);
    page->setBusy(true, 0.4);
    EXPECT_TRUE(find<QWidget>("busy").isVisible());
    EXPECT_TRUE(cell.data(Qt::FontRole).value<QFont>().italic());
    page->setBusy(false);
    EXPECT_FALSE(find<QWidget>("busy").isVisible());
    EXPECT_FALSE(cell.data(Qt::FontRole).isValid());
}

TEST_F(Page, copiesChosenFindingsAndAll) {
    chooseFinding("onset");
    QTest::keyClick(&findings(), Qt::Key_C, Qt::ControlModifier);
    const std::string one = QApplication::clipboard()->text().toStdString();
    EXPECT_THAT(one, testing::StartsWith("onset\t"));
    EXPECT_EQ(std::count(one.begin(), one.end(), '\n'), 1);
    page->findChild<QAction*>(QStringLiteral("copy all"))->trigger();
    const std::string all = QApplication::clipboard()->text().toStdString();
    EXPECT_THAT(all, HasSubstr(one));
    EXPECT_THAT(all, HasSubstr("degree of cure\t"));
    page->findChild<QAction*>(QStringLiteral("copy picture"))->trigger();
    EXPECT_FALSE(QApplication::clipboard()->image().isNull());
}

TEST_F(Page, saysWhyARunCouldNotBeAnalysed) {
    auto broken = std::make_shared<session::RunView>();
    broken->id = "2";
    broken->faults = {Fault{.kind = FaultKind::missing, .what = "fewer than 16 samples", .remedy = "record longer"}};
    page->setRun(broken);
    EXPECT_THAT(explanation(), HasSubstr("Fewer than 16 samples. Record longer."));
    EXPECT_FALSE(findings().isVisibleTo(page.get())) << "the words stand alone";
    EXPECT_FALSE(find<QToolButton>("export").isEnabled());
}

TEST_F(Page, photosAreAskedForShownAndTakenOut) {
    QSignalSpy needed(page.get(), &AnalysePage::photoNeeded);
    QSignalSpy wanted(page.get(), &AnalysePage::photoWanted);
    QSignalSpy removed(page.get(), &AnalysePage::photoRemoved);
    auto with_photo = runView();
    with_photo->photos = {"rod-03.jpg"};
    page->setRun(with_photo);
    ASSERT_EQ(needed.count(), 1);
    showTab(3);
    auto& photos = find<QListWidget>("photos");
    ASSERT_EQ(photos.count(), 1);
    QByteArray bytes;
    QBuffer buffer(&bytes);
    QImage image(40, 30, QImage::Format_RGB32);
    image.fill(Qt::red);
    image.save(&buffer, "PNG");
    page->setPhoto(QStringLiteral("rod-03.jpg"), bytes);
    EXPECT_EQ(photos.item(0)
                  ->icon()
                  .pixmap(photos.iconSize())
                  .toImage()
                  .pixelColor(photos.iconSize().width() / 2, photos.iconSize().height() / 2),
              QColor(Qt::red));
    page->setRun(std::make_shared<session::RunView>(*with_photo));
    EXPECT_EQ(needed.count(), 1); // it is there already
    photos.setCurrentRow(0);
    Q_EMIT photos.itemActivated(photos.item(0));
    EXPECT_EQ(wanted.count(), 1);
    click("remove photo");
    ASSERT_EQ(removed.count(), 1);
    EXPECT_EQ(removed.at(0).at(0).toString().toStdString(), "rod-03.jpg");
    page->setPhoto(QStringLiteral("rod-03.jpg"), QByteArray("no picture")); // is passed over
}

TEST_F(Page, photoIsAddedByDroppingIt) {
    QSignalSpy added(page.get(), &AnalysePage::photoAdded);
    showTab(3);
    QMimeData data;
    data.setUrls(
        {QUrl::fromLocalFile(QStringLiteral("/a/piece.jpg")), QUrl::fromLocalFile(QStringLiteral("/a/b.csv"))});
    QDragEnterEvent enter(QPoint(10, 10), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(page->findChild<OutcomePanel*>(), &enter);
    EXPECT_TRUE(enter.isAccepted());
    QDropEvent drop(QPointF(10, 10), Qt::CopyAction, &data, Qt::LeftButton, Qt::NoModifier);
    QApplication::sendEvent(page->findChild<OutcomePanel*>(), &drop);
    ASSERT_EQ(added.count(), 1);
    EXPECT_EQ(added.at(0).at(0).toString().toStdString(), "/a/piece.jpg");
}

TEST_F(Page, everyControlHasAName) {
    for (const QWidget* const widget : page->findChildren<QWidget*>()) {
        const bool control = qobject_cast<const QAbstractButton*>(widget) != nullptr ||
                             qobject_cast<const QComboBox*>(widget) != nullptr ||
                             (qobject_cast<const QLineEdit*>(widget) != nullptr &&
                              qobject_cast<const QComboBox*>(widget->parentWidget()) == nullptr);
        if (!control || widget->objectName().startsWith(QStringLiteral("qt_")) || widget->objectName().isEmpty()) {
            continue; // parts of Qt's own widgets
        }
        const auto* const button = qobject_cast<const QAbstractButton*>(widget);
        EXPECT_TRUE(!widget->accessibleName().isEmpty() || (button != nullptr && !button->text().isEmpty()))
            << widget->objectName().toStdString();
    }
}

// Export

class Export : public testing::Test {
protected:
    void SetUp() override {
        needsApplication();
        ASSERT_TRUE(folder.isValid());
        QObject::connect(&exporter, &Exporter::message, [this](const QString& words) { said = words.toStdString(); });
    }

    QByteArray written(Exporter::Kind kind, const char* name) {
        QSignalSpy finished(&exporter, &Exporter::finished);
        const QString file = folder.filePath(QString::fromUtf8(name));
        exporter.start(kind, runView()->analysis, file);
        EXPECT_TRUE(finished.count() > 0 || finished.wait(60'000));
        QFile read(file);
        return read.open(QIODevice::ReadOnly) ? read.readAll() : QByteArray();
    }

    QTemporaryDir folder;
    Exporter exporter;
    std::string said;
};

TEST_F(Export, writesWhatTheEndingsSay) {
    EXPECT_TRUE(written(Exporter::Kind::plot, "a.svg").contains("<svg"));
    EXPECT_THAT(said, HasSubstr("Written: "));
    EXPECT_TRUE(written(Exporter::Kind::series, "a.csv").startsWith("time_s,"));
    EXPECT_TRUE(written(Exporter::Kind::findings, "a.json").contains("\"landmarks\""));
}

TEST_F(Export, saysWhatKeepsAFileFromBeingWritten) {
    EXPECT_TRUE(written(Exporter::Kind::findings, "no/such/folder.json").isEmpty());
    EXPECT_THAT(said, HasSubstr("folder.json"));
    EXPECT_TRUE(written(Exporter::Kind::plot, "a.gif").isEmpty());
    EXPECT_THAT(said, HasSubstr(".svg, .pdf or .png"));
}

TEST_F(Export, suggestsANameThatAFileMayHave) {
    EXPECT_EQ(Exporter::suggestedName(Exporter::Kind::plot, QStringLiteral("rod 03/b")).toStdString(), "rod-03-b.svg");
    EXPECT_EQ(Exporter::suggestedName(Exporter::Kind::series, QString()).toStdString(), "run-series.csv");
}

} // namespace
} // namespace potwatch::window
