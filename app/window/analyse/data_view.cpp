// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/analyse/data_view.h"

#include "app/report/fit_plot.h"
#include "app/report/fit_scene.h"
#include "app/session/whole_file.h"
#include "app/window/analyse/fit_html.h"
#include "app/window/analyse/fit_picture.h"
#include "app/window/look.h"
#include "io/kinetics/kinetics_file.h"

#include <QApplication>
#include <QCheckBox>
#include <QClipboard>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QHBoxLayout>
#include <QLabel>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QSplitter>
#include <QTextBrowser>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int wish_characters = 30; // the width of the column at the left, in digits
constexpr int picture_lines = 19;   // its usual height, and that of the text under it
constexpr int text_lines = 28;
constexpr double usual_reference_c = 60.0; // an oven that does not boil the water

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

} // namespace

DataView::DataView(QWidget* parent)
    : QWidget(parent)
    , runs_(new QListWidget(this))
    , law_(new QComboBox(this))
    , order_(new QCheckBox(tr("find the catalyst's or&der too"), this))
    , reference_(new QDoubleSpinBox(this))
    , start_(new QPushButton(tr("Find how it &cures"), this))
    , working_(new QWidget(this))
    , doing_(new QLabel(working_))
    , progress_(new QProgressBar(working_))
    , old_(new QLabel(tr("Something stated of these runs has changed since: find it anew."), this))
    , picture_(new FitPictureView(this))
    , text_(new QTextBrowser(this)) {
    setObjectName(QStringLiteral("data view"));
    const int gap = fontMetrics().averageCharWidth();
    auto* const row = new QHBoxLayout(this);
    row->setContentsMargins(gap, gap, gap, gap);
    row->setSpacing(2 * gap);
    auto* const wish = new QWidget(this);
    wish->setFixedWidth(wish_characters * fontMetrics().horizontalAdvance(u'0'));
    auto* const column = new QVBoxLayout(wish);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(gap);
    connect(&exporter_, &Exporter::message, this, &DataView::message);
    buildWish(column);
    buildTake(column);
    row->addWidget(wish);

    auto* const answer = new QWidget(this);
    auto* const answer_column = new QVBoxLayout(answer);
    answer_column->setContentsMargins(0, 0, 0, 0);
    answer_column->setSpacing(gap);
    old_->setObjectName(QStringLiteral("fit old"));
    old_->setWordWrap(true);
    answer_column->addWidget(old_);
    auto* const splitter = new QSplitter(Qt::Vertical, answer);
    splitter->setChildrenCollapsible(false);
    picture_->setMinimumHeight(14 * fontMetrics().height());
    splitter->addWidget(picture_);
    text_->setObjectName(QStringLiteral("fit text"));
    text_->setAccessibleName(tr("What the runs tell"));
    text_->setFrameShape(QFrame::NoFrame);
    text_->setOpenLinks(false);
    splitter->addWidget(text_);
    splitter->setSizes({picture_lines * fontMetrics().height(), text_lines * fontMetrics().height()});
    answer_column->addWidget(splitter, 1);
    row->addWidget(answer, 1);
    showBusy(false);
}

void DataView::buildWish(QVBoxLayout* column) {
    auto* const title = new QLabel(tr("Ru&ns of one resin"), this);
    title->setBuddy(runs_);
    column->addWidget(title);
    runs_->setObjectName(QStringLiteral("fit runs"));
    runs_->setAccessibleName(tr("Runs to fit; the space bar takes one along or leaves it out"));
    runs_->setWordWrap(true);
    runs_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    connect(runs_, &QListWidget::itemChanged, this, [this] { showState(); });
    column->addWidget(runs_, 1);

    auto* const law_row = new QHBoxLayout;
    auto* const law_title = new QLabel(tr("&Law"), this);
    law_title->setBuddy(law_);
    law_->setObjectName(QStringLiteral("fit law"));
    law_->setAccessibleName(tr("Law of the cure"));
    law_->addItems({tr("autocatalytic"), tr("nth-order")});
    law_->setToolTip(tr("Both are fitted and compared; this one's figures are shown"));
    law_row->addWidget(law_title);
    law_row->addWidget(law_, 1);
    column->addLayout(law_row);
    order_->setObjectName(QStringLiteral("fit order"));
    order_->setChecked(true);
    order_->setToolTip(tr("From runs of different doses or dosing rates; otherwise twice the catalyst is taken to cure "
                          "twice as fast"));
    column->addWidget(order_);
    auto* const reference_row = new QHBoxLayout;
    auto* const reference_title = new QLabel(tr("as m&uch cure as, at"), this);
    reference_title->setBuddy(reference_);
    reference_->setObjectName(QStringLiteral("fit reference"));
    reference_->setAccessibleName(tr("Temperature at which the time for as much cure is told"));
    reference_->setRange(-50.0, 300.0);
    reference_->setDecimals(0);
    reference_->setSingleStep(5.0);
    reference_->setValue(usual_reference_c);
    reference_->setSuffix(tr(" °C"));
    reference_row->addWidget(reference_title);
    reference_row->addWidget(reference_, 1);
    column->addLayout(reference_row);
    start_->setObjectName(QStringLiteral("fit start"));
    connect(start_, &QPushButton::clicked, this, &DataView::start);
    column->addWidget(start_);

    working_->setObjectName(QStringLiteral("fit working"));
    auto* const working_column = new QVBoxLayout(working_);
    working_column->setContentsMargins(0, 0, 0, 0);
    doing_->setObjectName(QStringLiteral("fit doing"));
    doing_->setTextFormat(Qt::PlainText);
    progress_->setObjectName(QStringLiteral("fit progress"));
    progress_->setAccessibleName(tr("Progress of the fit"));
    progress_->setRange(0, 100);
    progress_->setTextVisible(false);
    stop_ = new QPushButton(tr("&Stop"), working_);
    stop_->setObjectName(QStringLiteral("fit stop"));
    connect(stop_, &QPushButton::clicked, this, &DataView::stop);
    working_column->addWidget(doing_);
    working_column->addWidget(progress_);
    working_column->addWidget(stop_);
    column->addWidget(working_);
}

void DataView::buildTake(QVBoxLayout* column) {
    const auto button = [&](const char* name, const QString& words, void (DataView::*act)()) {
        auto* const made = new QPushButton(words, this);
        made->setObjectName(QString::fromLatin1(name));
        connect(made, &QPushButton::clicked, this, act);
        column->addWidget(made);
        return made;
    };
    save_ = button("fit save", tr("Save &kinetics file..."), &DataView::saveKinetics);
    save_->setToolTip(tr("For the forecasts"));
    picture_file_ = button("fit picture file", tr("Save p&icture..."), &DataView::savePicture);
    copy_ = button("fit copy", tr("Cop&y all"), &DataView::copyAll);
}

void DataView::setCandidates(std::vector<session::FitCandidate> candidates) {
    if (candidates == candidates_) {
        return; // the list is told anew with every finding of the book
    }
    const QSignalBlocker quiet(runs_);
    const int current = runs_->currentRow();
    std::vector<Qt::CheckState> states;
    for (const session::FitCandidate& one : candidates) {
        Qt::CheckState state = one.taken ? Qt::Checked : Qt::Unchecked;
        for (std::size_t i = 0; i < candidates_.size(); ++i) {
            // As it was left, unless only now it can take part, or no more.
            if (candidates_[i].id == one.id && candidates_[i].can == one.can && candidates_[i].taken == one.taken) {
                state = runs_->item(static_cast<int>(i))->checkState();
            }
        }
        states.push_back(one.can ? state : Qt::Unchecked);
    }
    candidates_ = std::move(candidates);
    runs_->clear();
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        const session::FitCandidate& one = candidates_[i];
        auto* const item = new QListWidgetItem(
            one.note.empty() ? text(one.name) : tr("%1: %2").arg(text(one.name), text(one.note)), runs_);
        item->setFlags(one.can ? Qt::ItemIsEnabled | Qt::ItemIsSelectable | Qt::ItemIsUserCheckable
                               : Qt::ItemIsSelectable);
        item->setCheckState(states[i]);
    }
    runs_->setCurrentRow(std::min(current, runs_->count() - 1));
    showState();
}

std::vector<session::FitCandidate> DataView::chosen() const {
    std::vector<session::FitCandidate> chosen;
    for (std::size_t i = 0; i < candidates_.size(); ++i) {
        if (runs_->item(static_cast<int>(i))->checkState() == Qt::Checked) {
            chosen.push_back(candidates_[i]);
        }
    }
    return chosen;
}

void DataView::showState() {
    const std::vector<session::FitCandidate> now = chosen();
    const auto cures = std::count_if(now.begin(), now.end(), [](const auto& one) { return !one.batch.blank; });
    start_->setEnabled(cures > 0);
    // One run does not tell an order; neither do runs without a catalyst.
    order_->setEnabled(!busy_ && cures > 1 && std::any_of(now.begin(), now.end(), [](const auto& one) {
        return one.batch.dose && one.batch.dose->role == DoseRole::catalyst;
    }));
    const bool there = fitted_ != nullptr;
    save_->setEnabled(there);
    picture_file_->setEnabled(there);
    copy_->setEnabled(there);
    picture_->setVisible(there);
    old_->setVisible(there && std::any_of(asked_.begin(), asked_.end(), [this](const auto& asked) {
                         return std::none_of(candidates_.begin(), candidates_.end(), [&](const auto& one) {
                             return one.id == asked.id && one.batch == asked.batch;
                         });
                     }));
    if (!there && asked_.empty()) {
        const bool some = std::any_of(candidates_.begin(), candidates_.end(),
                                      [](const auto& one) { return one.can && !one.batch.blank; });
        text_->setHtml(
            some ? tr("<p><b>What the data can tell</b></p><p>Several runs of one resin together tell how it "
                      "cures: activation energies, orders and what the catalyst does, each with its "
                      "interval, and whether the data determine it at all.</p><p>Choose the runs at the left, "
                      "then press <b>Find how it cures</b>. Runs of different dosing rates tell the "
                      "most.</p>")
                 : tr("<p><b>What the data can tell</b></p><p>No run of this book can take part yet. State "
                      "the mass of the resin and its heat of reaction on the Pot tab of the chart, for two "
                      "runs or more.</p>"));
    }
}

void DataView::start() {
    asked_ = chosen();
    std::vector<book::RunId> ids;
    for (const session::FitCandidate& one : asked_) {
        ids.push_back(one.id);
    }
    session::FitFilesOptions options;
    options.fit.model = law_->currentIndex() == 0 ? RateModel::autocatalytic : RateModel::nth_order;
    options.fit.find_catalyst_order = order_->isEnabled() && order_->isChecked();
    options.isoconversional = true;
    options.equivalent_at_c = reference_->value();
    fitted_.reset();
    picture_->setFitted(nullptr);
    text_->setHtml(tr("<p>Looking at the runs ...</p>"));
    setProgress(0.0, tr("reading the runs"));
    showBusy(true);
    stop_->setFocus();
    Q_EMIT fitWanted(ids, options);
}

void DataView::stop() {
    Q_EMIT stopWanted();
    forget();
    start_->setFocus();
    Q_EMIT message(tr("The fit was stopped"));
}

void DataView::showBusy(bool busy) {
    busy_ = busy;
    working_->setVisible(busy);
    start_->setVisible(!busy);
    runs_->setEnabled(!busy);
    law_->setEnabled(!busy);
    reference_->setEnabled(!busy);
    showState();
}

void DataView::setProgress(double fraction, const QString& doing) {
    progress_->setValue(static_cast<int>(std::lround(100.0 * std::clamp(fraction, 0.0, 1.0))));
    doing_->setText(
        fontMetrics().elidedText(doing, Qt::ElideRight, wish_characters * fontMetrics().horizontalAdvance(u'0')));
}

void DataView::setFitted(std::shared_ptr<const session::FittedFiles> fitted) {
    const bool had_focus = stop_->hasFocus();
    fitted_ = std::move(fitted);
    picture_->setFitted(fitted_);
    text_->setHtml(fitHtml(*fitted_));
    showBusy(false);
    if (had_focus) {
        text_->setFocus();
    }
}

void DataView::setFaults(const std::vector<Fault>& faults) {
    const bool had_focus = stop_->hasFocus();
    text_->setHtml(faultsHtml(faults));
    showBusy(false);
    if (had_focus) {
        start_->setFocus();
    }
}

void DataView::forget() {
    asked_.clear();
    fitted_.reset();
    picture_->setFitted(nullptr);
    showBusy(false);
}

void DataView::focusFirst() {
    (start_->isVisible() && start_->isEnabled() ? static_cast<QWidget*>(start_) : runs_)->setFocus();
}

std::optional<Sheet> DataView::sheet() const {
    if (!fitted_) {
        return std::nullopt;
    }
    return Sheet{.title = tr("What the data can tell"),
                 .headline = {},
                 .picture =
                     [fitted = fitted_](QSizeF size) {
                         return report::fitScene({.fit = fitted->fit, .energies = session::energiesOf(*fitted)},
                                                 report::paperTheme(), size);
                     },
                 .html = fitHtml(*fitted_),
                 .picture_height = 420.0};
}

void DataView::saveKinetics() {
    const QString file =
        QFileDialog::getSaveFileName(this, tr("Save kinetics file"), u"kinetics.toml"_s, tr("Kinetics file (*.toml)"));
    if (!file.isEmpty()) {
        exporter_.inBackground(
            [fitted = fitted_, path = file.toStdString()] {
                return session::writeWholeFile(path, kinetics_file::write(fitted->fit.kinetics));
            },
            file);
    }
}

void DataView::savePicture() {
    const QString file = QFileDialog::getSaveFileName(this, tr("Save picture"), u"kinetic-fit.svg"_s,
                                                      tr("Vector drawing (*.svg);;PDF (*.pdf);;Picture (*.png)"));
    if (!file.isEmpty()) {
        exporter_.soon(
            [fitted = fitted_, path = file.toStdString()] {
                return report::writeFitPlot({.fit = fitted->fit, .energies = session::energiesOf(*fitted)}, path);
            },
            file);
    }
}

void DataView::copyAll() {
    QApplication::clipboard()->setText(fitTabbed(*fitted_));
    Q_EMIT message(tr("All that the fit says was copied"));
}

} // namespace potwatch::window
