// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/analyse_page.h"

#include "app/window/analyse/analyse_model.h"
#include "app/window/analyse/chart_bar.h"
#include "app/window/analyse/data_view.h"
#include "app/window/analyse/events_panel.h"
#include "app/window/analyse/exporter.h"
#include "app/window/analyse/findings_panel.h"
#include "app/window/analyse/outcome_panel.h"
#include "app/window/chart/chart_view.h"
#include "app/window/pot_form/pot_form.h"

#include <QApplication>
#include <QClipboard>
#include <QFileDialog>
#include <QLabel>
#include <QPixmap>
#include <QSplitter>
#include <QStackedWidget>
#include <QTabWidget>
#include <QVBoxLayout>

#include <utility>

namespace potwatch::window {
namespace {

constexpr int panel_characters = 46; // the width of the panel at the right, in digits
constexpr int chart_characters = 56;

enum Tab : int { findings_tab, pot_tab, events_tab, outcome_tab };

} // namespace

struct AnalysePage::Parts {
    explicit Parts(AnalysePage& of_page)
        : page(of_page) {}

    AnalysePage& page;
    AnalyseModel model;
    Exporter exporter;
    QStackedWidget* stack = nullptr;
    ChartBar* bar = nullptr;
    ChartView* chart = nullptr;
    QStackedWidget* body = nullptr; // the chart with its panel, and what the data can tell
    DataView* data = nullptr;
    QTabWidget* tabs = nullptr;
    FindingsPanel* findings = nullptr;
    PotForm* form = nullptr;
    EventsPanel* events = nullptr;
    OutcomePanel* outcome = nullptr;

    void build();
    void connectChart();
    void connectPanels();
    void connectBar();
    void highlight(int row);
    void goTo(const QString& place);
    void exportAs(Exporter::Kind kind);
    void copyPicture();
};

void AnalysePage::Parts::build() {
    stack = new QStackedWidget(&page);
    auto* const column = new QVBoxLayout(&page);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(stack);

    auto* const empty =
        new QLabel(AnalysePage::tr("<p><b>No run is chosen.</b></p><p>Choose one in the batch book at the "
                                   "left, or import a CSV: drop it on the window.</p>"),
                   stack);
    empty->setObjectName(QStringLiteral("analyse empty"));
    empty->setAlignment(Qt::AlignCenter);
    empty->setWordWrap(true);
    stack->addWidget(empty);

    auto* const work = new QWidget(stack);
    auto* const work_column = new QVBoxLayout(work);
    work_column->setContentsMargins(0, 0, 0, 0);
    work_column->setSpacing(0);
    bar = new ChartBar(work);
    work_column->addWidget(bar);
    body = new QStackedWidget(work);
    work_column->addWidget(body, 1);
    auto* const splitter = new QSplitter(Qt::Horizontal, body);
    splitter->setObjectName(QStringLiteral("analyse splitter"));
    splitter->setChildrenCollapsible(false);
    body->addWidget(splitter);
    data = new DataView(body);
    body->addWidget(data);
    const int digit = page.fontMetrics().horizontalAdvance(QLatin1Char('0'));
    chart = new ChartView(splitter);
    chart->setObjectName(QStringLiteral("chart"));
    chart->setAccessibleName(AnalysePage::tr("Chart of the run"));
    chart->setMinimumWidth(chart_characters * digit);
    splitter->addWidget(chart);

    tabs = new QTabWidget(splitter);
    tabs->setObjectName(QStringLiteral("analyse tabs"));
    tabs->setAccessibleName(AnalysePage::tr("Findings, pot, events and outcome"));
    tabs->setDocumentMode(true);
    tabs->setMinimumWidth(panel_characters * digit);
    findings = new FindingsPanel(model, tabs);
    form = new PotForm(model.form(), tabs);
    events = new EventsPanel(model, tabs);
    outcome = new OutcomePanel(model, tabs);
    tabs->addTab(findings, AnalysePage::tr("&Findings"));
    tabs->addTab(form, AnalysePage::tr("&Pot"));
    tabs->addTab(events, AnalysePage::tr("E&vents"));
    tabs->addTab(outcome, AnalysePage::tr("&Outcome"));
    splitter->addWidget(tabs);
    splitter->setStretchFactor(0, 1);
    splitter->setStretchFactor(1, 0);
    splitter->setSizes({10 * panel_characters * digit, (panel_characters + 1) * digit});
    stack->addWidget(work);
}

void AnalysePage::Parts::connectChart() {
    QObject::connect(chart, &ChartView::landmarkMoved, &model, &AnalyseModel::moveLandmark);
    QObject::connect(chart, &ChartView::landmarkReset, &model, &AnalyseModel::resetLandmark);
    QObject::connect(chart, &ChartView::annotationAdded, &model, &AnalyseModel::addAnnotation);
    QObject::connect(chart, &ChartView::annotationChanged, &model, &AnalyseModel::changeAnnotation);
    QObject::connect(chart, &ChartView::annotationRemoved, &model, &AnalyseModel::removeAnnotation);
    QObject::connect(chart, &ChartView::eventWanted, &page, [this](double time_s) {
        tabs->setCurrentIndex(events_tab);
        events->begin(time_s);
    });
    QObject::connect(chart, &ChartView::toolChanged, bar, &ChartBar::showTool);
}

void AnalysePage::Parts::connectPanels() {
    QObject::connect(&model, &AnalyseModel::notesEdited, &page, &AnalysePage::notesEdited);
    QObject::connect(&model, &AnalyseModel::message, &page, &AnalysePage::message);
    QObject::connect(&exporter, &Exporter::message, &page, &AnalysePage::message);
    QObject::connect(&model, &AnalyseModel::changed, &page, [this] { bar->setTitle(model.title()); });
    QObject::connect(findings, &FindingsPanel::chosen, &page, [this](int row) { highlight(row); });
    QObject::connect(findings, &FindingsPanel::fieldWanted, &page, [this](const QString& place) { goTo(place); });
    QObject::connect(events, &EventsPanel::momentChosen, &page, [this](double time_s) {
        chart->setHighlight(ChartView::Highlight{.pane = PaneKind::temperature, .time_s = {time_s, time_s}});
    });
    QObject::connect(tabs, &QTabWidget::currentChanged, &page, [this](int tab) {
        if (tab != findings_tab) {
            findings->chooseNone();
        }
        chart->setHighlight(std::nullopt);
    });
    QObject::connect(outcome, &OutcomePanel::photoAdded, &page, &AnalysePage::photoAdded);
    QObject::connect(outcome, &OutcomePanel::photoWanted, &page, &AnalysePage::photoWanted);
    QObject::connect(outcome, &OutcomePanel::photoRemoved, &page, &AnalysePage::photoRemoved);
}

void AnalysePage::Parts::connectBar() {
    QObject::connect(bar, &ChartBar::toolChosen, chart, &ChartView::setTool);
    QObject::connect(bar, &ChartBar::fitWanted, chart, &ChartView::fit);
    QObject::connect(bar, &ChartBar::fitAllWanted, chart, &ChartView::fitAll);
    QObject::connect(bar, &ChartBar::zoomWanted, chart, &ChartView::zoomBy);
    QObject::connect(bar, &ChartBar::exportWanted, &page, [this](Exporter::Kind kind) { exportAs(kind); });
    QObject::connect(bar, &ChartBar::reportWanted, &page, &AnalysePage::reportWanted);
    QObject::connect(bar, &ChartBar::printWanted, &page, &AnalysePage::printWanted);
    QObject::connect(bar, &ChartBar::dataWanted, &page, [this](bool wanted) {
        body->setCurrentIndex(wanted ? 1 : 0);
        bar->showData(wanted);
        if (wanted) {
            data->focusFirst();
        } else {
            chart->setFocus();
        }
    });
    QObject::connect(data, &DataView::fitWanted, &page, &AnalysePage::fitWanted);
    QObject::connect(data, &DataView::stopWanted, &page, &AnalysePage::fitStopWanted);
    QObject::connect(data, &DataView::message, &page, &AnalysePage::message);
    QObject::connect(bar, &ChartBar::copyAllWanted, findings, &FindingsPanel::copyAll);
    QObject::connect(bar, &ChartBar::copyPictureWanted, &page, [this] { copyPicture(); });
}

void AnalysePage::Parts::highlight(int row) {
    const format::FindingRow* const finding = model.findings().finding(row);
    if (finding == nullptr || !finding->place) {
        chart->setHighlight(std::nullopt);
        return;
    }
    chart->setHighlight(
        ChartView::Highlight{.pane = finding->place->pane, .time_s = {finding->place->from_s, finding->place->to_s}});
}

void AnalysePage::Parts::goTo(const QString& place) {
    const std::string field = place.toStdString();
    const bool of_outcome = field.starts_with("outcome.");
    tabs->setCurrentIndex(of_outcome ? outcome_tab : pot_tab);
    if (of_outcome) {
        outcome->goTo(field);
    } else {
        form->goTo(field);
    }
}

void AnalysePage::Parts::exportAs(Exporter::Kind kind) {
    if (!model.analysis()) {
        return;
    }
    const QString file = QFileDialog::getSaveFileName(
        &page, AnalysePage::tr("Export"), Exporter::suggestedName(kind, model.title()), Exporter::filterOf(kind));
    if (!file.isEmpty()) {
        exporter.start(kind, model.analysis(), file);
    }
}

void AnalysePage::Parts::copyPicture() {
    QApplication::clipboard()->setPixmap(chart->grab());
    Q_EMIT page.message(AnalysePage::tr("The chart as it is shown was copied"));
}

AnalysePage::AnalysePage(QWidget* parent)
    : QWidget(parent)
    , parts_(std::make_unique<Parts>(*this)) {
    parts_->build();
    parts_->connectChart();
    parts_->connectPanels();
    parts_->connectBar();
    setRun(nullptr);
}

AnalysePage::~AnalysePage() {
    // The widgets go before the model that they look at; nobody is to hear of what they lose on the way.
    blockSignals(true);
    delete parts_->stack;
}

void AnalysePage::setRun(std::shared_ptr<const session::RunView> run) {
    const auto before = parts_->model.analysis();
    const bool other = parts_->model.setRun(std::move(run));
    parts_->stack->setCurrentIndex(parts_->model.run() ? 1 : 0);
    parts_->bar->setTitle(parts_->model.title());
    parts_->bar->setExportable(parts_->model.analysis() != nullptr);
    if (other || parts_->model.analysis() != before) {
        parts_->chart->setAnalysis(parts_->model.analysis(), !other);
    }
    if (other) {
        parts_->findings->chooseNone();
        parts_->chart->setHighlight(std::nullopt);
        parts_->outcome->forgetPictures();
    }
    if (parts_->model.run()) {
        for (const std::string& name : parts_->model.run()->photos) {
            if (const QString photo = QString::fromStdString(name); !parts_->outcome->hasPicture(photo)) {
                Q_EMIT photoNeeded(photo);
            }
        }
    }
}

void AnalysePage::setBusy(bool busy, double fraction) {
    parts_->model.findings().setOld(busy && parts_->model.analysis() != nullptr);
    parts_->bar->setBusy(busy, fraction);
}

void AnalysePage::turnData() {
    parts_->bar->showData(!showsData());
}

void AnalysePage::setFitCandidates(std::vector<session::FitCandidate> candidates) {
    parts_->data->setCandidates(std::move(candidates));
}

void AnalysePage::setFitProgress(double fraction, const QString& doing) {
    parts_->data->setProgress(fraction, doing);
}

void AnalysePage::setFitted(std::shared_ptr<const session::FittedFiles> fitted) {
    parts_->data->setFitted(std::move(fitted));
}

void AnalysePage::setFitFaults(const std::vector<Fault>& faults) {
    parts_->data->setFaults(faults);
}

void AnalysePage::forgetFit() {
    parts_->data->forget();
}

bool AnalysePage::showsData() const {
    return parts_->body->currentWidget() == parts_->data;
}

std::optional<Sheet> AnalysePage::dataSheet() const {
    return parts_->data->sheet();
}

void AnalysePage::setPhoto(const QString& name, const QByteArray& bytes) {
    QPixmap picture;
    if (picture.loadFromData(bytes)) {
        parts_->outcome->setPicture(name, picture);
    }
}

} // namespace potwatch::window
