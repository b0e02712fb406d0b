// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/report/report_page.h"

#include "app/session/file_name.h"
#include "app/window/compare/remembered_request.h"
#include "app/window/report/page_view.h"
#include "app/window/settings.h"
#include "app/window/word_button.h"

#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QProgressBar>
#include <QPushButton>
#include <QSplitter>
#include <QStackedWidget>
#include <QToolButton>
#include <QVBoxLayout>

#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr auto remembered_sections = "report/sections";
constexpr int wait_ms = 250; // several ticks in a row are one wish
constexpr double zoom_step = 1.2;

// A list's title with the buttons that move its current line.
QHBoxLayout* titleOf(CheckList& list, const QString& words, const QString& name) {
    QWidget* const parent = list.parentWidget();
    auto* const row = new QHBoxLayout;
    row->setSpacing(0);
    auto* const title = new QLabel(words, parent);
    title->setBuddy(&list);
    row->addWidget(title, 1);
    for (const int step : {-1, 1}) {
        QToolButton* const button = wordButton(
            parent, name + (step < 0 ? u"Up"_s : u"Down"_s), step < 0 ? u"\u2191"_s : u"\u2193"_s,
            step < 0 ? ReportPage::tr("Move the line up (Ctrl+Up)") : ReportPage::tr("Move the line down (Ctrl+Down)"));
        QObject::connect(button, &QToolButton::clicked, &list, [&list, step] { list.moveCurrent(step); });
        row->addWidget(button);
    }
    return row;
}

} // namespace

ReportPage::ReportPage(ReportMaker& maker, Settings& settings, QWidget* parent)
    : QWidget(parent)
    , maker_(maker)
    , settings_(settings)
    , choice_(settings.text(QString::fromLatin1(remembered_sections))) {
    setObjectName(u"reportPage"_s);
    make_soon_.setSingleShot(true);
    connect(&make_soon_, &QTimer::timeout, this, &ReportPage::refresh);
    auto* const row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(0);
    auto* const splitter = new QSplitter(Qt::Horizontal, this);
    splitter->setObjectName(u"reportSplitter"_s);
    splitter->setChildrenCollapsible(false);
    splitter->setHandleWidth(1);
    row->addWidget(splitter);
    splitter->addWidget(buildChoice());
    auto* const right = new QWidget(splitter);
    auto* const column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(buildBar());
    left_out_ = new QLabel(right);
    left_out_->setObjectName(u"reportLeftOut"_s);
    left_out_->setTextFormat(Qt::PlainText);
    left_out_->setWordWrap(true);
    left_out_->setMargin(fontMetrics().height() / 2);
    left_out_->hide();
    column->addWidget(left_out_);
    stack_ = new QStackedWidget(right);
    empty_ = new QLabel(stack_);
    empty_->setObjectName(u"reportEmpty"_s);
    empty_->setAlignment(Qt::AlignCenter);
    empty_->setWordWrap(true);
    pages_ = new PageView(stack_);
    stack_->addWidget(empty_);
    stack_->addWidget(pages_);
    column->addWidget(stack_, 1);
    splitter->setStretchFactor(0, 0);
    splitter->setStretchFactor(1, 1);
    splitter->setSizes({fontMetrics().height() * 15, fontMetrics().height() * 60});
    connect(pages_, &PageView::viewChanged, this, &ReportPage::showPlace);
    connect(&maker_, &ReportMaker::working, this, [this](double fraction, const QString& words) {
        if (making_) {
            showWork(fraction, words);
        }
    });
    sections_->setLines(choice_.sections());
    showState();
}

QWidget* ReportPage::buildChoice() {
    auto* const panel = new QWidget(this);
    const int gap = fontMetrics().height() / 2;
    auto* const column = new QVBoxLayout(panel);
    column->setContentsMargins(gap, gap, gap, gap);
    column->setSpacing(gap / 2);
    sections_ = new CheckList(panel);
    sections_->setObjectName(u"reportSections"_s);
    sections_->setAccessibleName(tr("Sections of the report"));
    column->addLayout(titleOf(*sections_, tr("&Sections"), u"reportSection"_s));
    column->addWidget(sections_);
    column->addSpacing(gap);
    runs_ = new CheckList(panel);
    runs_->setObjectName(u"reportRuns"_s);
    runs_->setAccessibleName(tr("Runs of the report"));
    column->addLayout(titleOf(*runs_, tr("R&uns"), u"reportRun"_s));
    column->addWidget(runs_, 1);
    auto* const buttons = new QHBoxLayout;
    for (const bool all : {true, false}) {
        auto* const button = new QPushButton(all ? tr("&All") : tr("&None"), panel);
        button->setObjectName(all ? u"reportAllRuns"_s : u"reportNoRuns"_s);
        button->setToolTip(all ? tr("Tick all runs") : tr("Tick no run"));
        connect(button, &QPushButton::clicked, runs_, [this, all] { runs_->chooseAll(all); });
        buttons->addWidget(button);
    }
    column->addLayout(buttons);
    // All sections are seen at once.
    sections_->setLines(choice_.sections());
    sections_->setFixedHeight(sections_->sizeHintForRow(0) * sections_->count() + 2 * sections_->frameWidth() + 2);
    connect(sections_, &CheckList::edited, this, &ReportPage::edited);
    connect(runs_, &CheckList::edited, this, &ReportPage::edited);
    return panel;
}

QWidget* ReportPage::buildBar() {
    auto* const bar = new QWidget(this);
    const int gap = fontMetrics().averageCharWidth();
    auto* const row = new QHBoxLayout(bar);
    row->setContentsMargins(gap, gap / 2, gap, gap / 2);
    row->setSpacing(gap / 2);
    place_ = new QLabel(bar);
    place_->setObjectName(u"reportPlace"_s);
    row->addWidget(place_);
    work_ = new QLabel(bar);
    work_->setObjectName(u"reportWork"_s);
    work_->setTextFormat(Qt::PlainText);
    work_->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    work_->setAlignment(Qt::AlignRight | Qt::AlignVCenter);
    row->addWidget(work_, 1);
    progress_ = new QProgressBar(bar);
    progress_->setObjectName(u"reportProgress"_s);
    progress_->setAccessibleName(tr("The report is being made"));
    progress_->setTextVisible(false);
    progress_->setRange(0, 1000);
    progress_->setFixedSize(14 * gap, fontMetrics().height() / 2);
    row->addWidget(progress_);
    row->addSpacing(gap);
    const auto view = [&](const char* name, const QString& words, const QString& tip, auto act) {
        QToolButton* const button = wordButton(bar, QString::fromLatin1(name), words, tip);
        connect(button, &QToolButton::clicked, this, act);
        row->addWidget(button);
        views_.push_back(button);
    };
    view("reportZoomOut", u"\u2212"_s, tr("Smaller (-)"), [this] { pages_->zoomBy(1.0 / zoom_step); });
    view("reportZoomIn", u"+"_s, tr("Larger (+)"), [this] { pages_->zoomBy(zoom_step); });
    view("reportFitWidth", tr("Width"), tr("As wide as the window"), [this] { pages_->setFit(PageView::Fit::width); });
    view("reportFitPage", tr("Page"), tr("A whole page at a time"), [this] { pages_->setFit(PageView::Fit::page); });
    row->addSpacing(gap);
    const auto take = [&](const char* name, const QString& words, auto signal) {
        auto* const button = new QPushButton(words, bar);
        button->setObjectName(QString::fromLatin1(name));
        connect(button, &QPushButton::clicked, this, signal);
        row->addWidget(button);
        takes_.push_back(button);
    };
    take("reportPrint", tr("&Print..."), &ReportPage::printWanted);
    take("reportSavePdf", tr("Save as P&DF..."), &ReportPage::pdfWanted);
    take("reportSaveHtml", tr("Save as &web page..."), &ReportPage::webPageWanted);
    return bar;
}

void ReportPage::setBook(const QString& path, const std::vector<session::ListedRun>& runs,
                         const std::vector<book::RunId>& first) {
    const bool other = path != book_;
    if (other) {
        book_ = path;
        choice_.setRuns({});
        runs_touched_ = false;
    }
    choice_.setBook(runs);
    if (!runs_touched_ && choice_.chosenRuns().empty()) {
        choice_.chooseOnly(first);
    }
    runs_->setLines(choice_.runs());
    sections_->setLines(choice_.sections());
    showState();
    if (isVisible() && choice_.state() != asked_) {
        make_soon_.start(wait_ms);
    }
}

void ReportPage::edited() {
    choice_.setSections(sections_->lines());
    choice_.setRuns(runs_->lines());
    sections_->setLines(choice_.sections()); // what that many runs can have
    runs_touched_ = true;
    settings_.setText(QString::fromLatin1(remembered_sections), choice_.text());
    make_soon_.start(wait_ms);
}

void ReportPage::refresh() {
    make_soon_.stop();
    asked_ = choice_.state();
    session::ReportWish wish = choice_.wish();
    wish.limit_c = rememberedPeakLimit(settings_);
    if (choice_.chosenRuns().empty() || wish.sections.empty()) {
        maker_.stop();
        making_ = false;
        made({});
        return;
    }
    making_ = true;
    showWork(0.0, tr("Reading the runs"));
    showState();
    maker_.make(choice_.chosenRuns(), wish, [this](const MadeReport& report) {
        making_ = false;
        made(report);
    });
}

void ReportPage::made(const MadeReport& made) {
    document_ = made.document;
    QStringList words;
    for (const session::LeftOutRun& run : made.left_out) {
        words += tr("%1 is not all in the report: %2")
                     .arg(QString::fromStdString(run.run), QString::fromStdString(describe(run.fault)));
    }
    left_out_->setText(words.join(u'\n'));
    left_out_->setVisible(!words.isEmpty());
    pages_->setDocument(document_);
    showState();
}

void ReportPage::setWriting(bool writing, double fraction) {
    writing_ = writing;
    if (writing) {
        showWork(fraction, tr("Writing the report"));
    }
    showState();
}

void ReportPage::showWork(double fraction, const QString& words) {
    work_->setText(words);
    progress_->setValue(static_cast<int>(std::lround(1000.0 * fraction)));
}

void ReportPage::showState() {
    const bool busy = making_ || writing_;
    work_->setText(busy ? work_->text() : QString());
    progress_->setVisible(busy);
    const bool ready = document_ != nullptr;
    stack_->setCurrentWidget(ready ? static_cast<QWidget*>(pages_) : empty_);
    for (QPushButton* const button : takes_) {
        button->setEnabled(ready && !busy);
    }
    for (QWidget* const widget : views_) {
        widget->setEnabled(ready);
    }
    QString title = tr("Making the report");
    QString hint;
    if (!making_ && choice_.runs().empty()) {
        title = tr("There is nothing to report on yet");
        hint = tr("Import a table or record a cure first: each run of the batch book can then be chosen here.");
    } else if (!making_ && choice_.chosenRuns().empty()) {
        title = tr("No run is chosen");
        hint = tr("Tick the runs on the left that the report is to be about.");
    } else if (!making_ && choice_.wish().sections.empty()) {
        title = tr("No section is chosen");
        hint = tr("Tick on the left what the report is to be made of.");
    } else if (!making_) {
        title = tr("None of the chosen runs could be analysed");
        hint = tr("The reasons stand above. Choose other runs, or mend these on Analyse.");
    }
    empty_->setText(u"<p><b>%1</b></p><p>%2</p>"_s.arg(title, hint));
    showPlace();
}

void ReportPage::showPlace() {
    place_->setText(pages_->pageCount() == 0 ? QString()
                                             : tr("Page %1 of %2 \u00b7 %3 %")
                                                   .arg(pages_->currentPage() + 1)
                                                   .arg(pages_->pageCount())
                                                   .arg(std::lround(100.0 * pages_->zoom())));
}

QString ReportPage::suggestedName() const {
    const std::vector<book::RunId> chosen = choice_.chosenRuns();
    const QString of = chosen.size() == 1 ? choice_.nameOf(chosen.front()) : QFileInfo(book_).completeBaseName();
    return QString::fromStdString(session::asFileName(of.toStdString())) + u"-report"_s;
}

} // namespace potwatch::window
