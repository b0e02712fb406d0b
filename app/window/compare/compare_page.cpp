// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_page.h"

#include "app/report/compare_plot.h"
#include "app/report/compare_scene.h"
#include "app/session/whole_file.h"
#include "app/window/compare/compare_bar.h"
#include "app/window/compare/compare_chart.h"
#include "app/window/compare/compare_parts.h"
#include "app/window/compare/compare_table.h"
#include "app/window/compare/compare_words.h"
#include "app/window/compare/lit_panel.h"
#include "app/window/compare/remembered_request.h"
#include "app/window/compare/table_html.h"

#include <QAction>
#include <QApplication>
#include <QClipboard>
#include <QFileDialog>
#include <QLabel>
#include <QMenu>
#include <QProgressBar>
#include <QScopedValueRollback>
#include <QSplitter>
#include <QStackedWidget>
#include <QTableView>
#include <QTextBrowser>
#include <QToolButton>

#include <algorithm>

namespace potwatch::window {

using namespace Qt::StringLiterals;

QString ComparePage::Parts::whyEmpty() const {
    if (in_book == 0) {
        return ComparePage::tr("<p><b>There is nothing to compare yet.</b></p><p>Import the table of a run (Ctrl+I), "
                               "record one, or try the demo in the menu File. Two runs or more tell what a change "
                               "did.</p>");
    }
    if (listed == 0) {
        return ComparePage::tr("<p><b>No run meets the search.</b></p><p>Clear the search or the tag at the top of the "
                               "batch book: the runs that stand in its list are compared.</p>");
    }
    if (to_lineage->isChecked()) {
        return lineage.hasLineage()
                   ? QString()
                   : ComparePage::tr("<p><b>No run says yet what it is based on.</b></p><p>Choose a run on Analyse and "
                                     "state on its Pot tab which run it changes. Then this view shows what was "
                                     "changed from run to run, and what came of it.</p>");
    }
    if (desk.runs().empty()) {
        return desk.left() > 0 ? ComparePage::tr("<p><b>The runs are being analysed.</b></p><p>They are shown as "
                                                 "they come.</p>")
                               : ComparePage::tr("<p><b>No run is analysed.</b></p><p>Go to another page and back "
                                                 "to try again.</p>");
    }
    const auto& compared = desk.compared();
    if (compared && compared->fault) {
        return u"<p><b>%1</b></p>"_s.arg(QString::fromStdString(describe(*compared->fault)).toHtmlEscaped());
    }
    return {};
}

void ComparePage::Parts::show() {
    const bool shows_lineage = to_lineage->isChecked();
    const std::size_t left = desk.left();
    working->setVisible(left > 0);
    working_words->setText(left == 1 ? ComparePage::tr("analysing 1 more run")
                                     : ComparePage::tr("analysing %1 more runs").arg(left));
    progress->setRange(0, static_cast<int>(left + desk.runs().size()));
    progress->setValue(static_cast<int>(desk.runs().size()));
    const QString why = whyEmpty();
    const auto& compared = desk.compared();
    const bool is_there = compared != nullptr && !compared->fault;
    take->setEnabled(why.isEmpty() && (shows_lineage || is_there));
    for (const QString& name : {u"compareCsv"_s, u"comparePicture"_s, u"compareCopyTable"_s, u"compareCopyPicture"_s}) {
        if (auto* const action = page.findChild<QAction*>(name)) {
            action->setEnabled(!shows_lineage);
        }
    }
    bar->setVisible(!shows_lineage && why.isEmpty());
    headline_label->setVisible(!shows_lineage && why.isEmpty());
    empty->setText(why);
    if (!why.isEmpty()) {
        body->setCurrentWidget(empty);
        return;
    }
    if (shows_lineage) {
        body->setCurrentWidget(tree);
        return;
    }
    body->setCurrentWidget(splitter);
    headline_label->setText(is_there                  ? headline(compared->comparison)
                            : desk.tickedCount() == 0 ? ComparePage::tr("Tick the runs to compare in the table.")
                                                      : ComparePage::tr("Comparing..."));
    words->setHtml(is_there ? trendHtml(compared->comparison) : QString());
}

void ComparePage::Parts::showLitRow() {
    const QScopedValueRollback quiet(showing_lit, true);
    const int row = lineage.rowOf(desk.lit());
    if (row < 0) {
        tree->clearSelection();
    } else if (tree->currentIndex().row() != row || !tree->selectionModel()->isRowSelected(row)) {
        tree->selectRow(row);
    }
}

void ComparePage::Parts::exportCsv() {
    const auto compared = desk.compared();
    const QString file = QFileDialog::getSaveFileName(&page, ComparePage::tr("Export the table"), u"comparison.csv"_s,
                                                      ComparePage::tr("CSV (*.csv)"));
    if (file.isEmpty() || !compared || compared->fault) {
        return;
    }
    std::vector<std::size_t> order; // as the rows stand
    for (const book::RunId& id : table->order()) {
        if (const auto at = compared->indexOf(id)) {
            order.push_back(*at);
        }
    }
    exporter.inBackground(
        [compared, order, path = file.toStdString()] {
            return session::writeWholeFile(path, session::compareCsv(compared->comparison, order));
        },
        file);
}

void ComparePage::Parts::exportPicture() {
    const auto compared = desk.compared();
    const QString file = QFileDialog::getSaveFileName(&page, ComparePage::tr("Export the picture"), u"comparison.svg"_s,
                                                      Exporter::filterOf(Exporter::Kind::plot));
    if (!file.isEmpty() && compared && !compared->fault) {
        exporter.soon(
            [compared, path = file.toStdString()] {
                return report::writeComparePlot({.comparison = compared->comparison, .runs = compared->runs}, path);
            },
            file);
    }
}

void ComparePage::Parts::copyPicture() {
    QApplication::clipboard()->setPixmap(chart->grab());
    Q_EMIT page.message(ComparePage::tr("The picture as it is shown was copied"));
}

ComparePage::ComparePage(QWidget* parent)
    : QWidget(parent)
    , parts_(std::make_unique<Parts>(*this)) {
    setObjectName(u"comparePage"_s);
    parts_->build();
    parts_->connectAll();
    session::CompareRequest request;
    request.limit = session::usual_limit_c;
    parts_->desk.setRequest(request);
    parts_->show();
}

ComparePage::~ComparePage() {
    // The widgets go before the models that they look at; nobody is to hear of what they lose on the way.
    blockSignals(true);
    delete parts_->whole;
}

CompareDesk& ComparePage::desk() {
    return parts_->desk;
}

void ComparePage::setBook(const std::vector<session::ListedRun>& runs, std::size_t listed) {
    parts_->in_book = static_cast<std::size_t>(std::count_if(
        runs.begin(), runs.end(), [](const auto& run) { return !run.row.withdrawn && !run.row.notes.batch.blank; }));
    parts_->listed = listed;
    parts_->lineage.setRuns(runs);
    parts_->show();
}

void ComparePage::setRuns(std::shared_ptr<const std::vector<session::RunToCompare>> runs, std::size_t left) {
    parts_->desk.setRuns(std::move(runs), left);
}

void ComparePage::setLit(const book::RunId& id) {
    parts_->desk.setLit(id);
}

void ComparePage::setPhoto(const book::RunId& id, const QString& name, const QByteArray& bytes) {
    parts_->lit->setPhoto(id, name, bytes);
}

void ComparePage::forget() {
    parts_->lit->forget();
    parts_->desk.setLit({});
    parts_->desk.setRuns(std::make_shared<const std::vector<session::RunToCompare>>(), 0);
}

void ComparePage::showLineage(bool shown) {
    (shown ? parts_->to_lineage : parts_->to_compare)->setChecked(true);
}

std::optional<Sheet> ComparePage::sheet() const {
    if (!parts_->take->isEnabled()) {
        return std::nullopt;
    }
    if (parts_->to_lineage->isChecked()) {
        return Sheet{.title = tr("What changed from run to run"),
                     .headline = {},
                     .picture = {},
                     .html = tableHtml(parts_->lineage, LineageModel::noteRole)};
    }
    const std::shared_ptr<const ComparedSet> compared = parts_->desk.compared();
    if (!compared || compared->fault) {
        return std::nullopt;
    }
    return Sheet{.title = tr("Comparison of runs"),
                 .headline = headline(compared->comparison),
                 .picture =
                     [compared](QSizeF size) {
                         return report::compareScene({.comparison = compared->comparison, .runs = compared->runs},
                                                     report::paperTheme(), size);
                     },
                 .html = trendHtml(compared->comparison) + tableHtml(parts_->table->shown())};
}

void ComparePage::restore(const Settings& settings) {
    parts_->desk.setRequest(rememberedRequest(settings));
    std::set<book::RunId> unticked;
    for (const QString& id : settings.text(u"compare/unticked"_s).split(u' ', Qt::SkipEmptyParts)) {
        unticked.insert(id.toStdString());
    }
    parts_->desk.setUnticked(std::move(unticked));
    parts_->table->model().setChosen(settings.text(u"compare/columns"_s).split(u' ', Qt::SkipEmptyParts));
}

void ComparePage::save(Settings& settings) const {
    remember(parts_->desk.request(), settings);
    QStringList unticked;
    for (const book::RunId& id : parts_->desk.unticked()) {
        unticked += QString::fromStdString(id);
    }
    settings.setText(u"compare/unticked"_s, unticked.join(u' '));
    settings.setText(u"compare/columns"_s, parts_->table->model().chosen().join(u' '));
}

} // namespace potwatch::window
