// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/lineage_model.h"

#include "app/format/number.h"

#include <algorithm>
#include <limits>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

// "+12.3 ± 0.6 K".
QString differenceText(const session::FigureChange& change, const QString& unit) {
    if (!change.difference) {
        return {};
    }
    const Estimate& by = *change.difference;
    const double half = (by.high - by.low) / 2.0;
    QString number = text(format::figureText(by.value, half));
    const bool is_nothing = std::none_of(number.begin(), number.end(), [](QChar c) { return c >= u'1' && c <= u'9'; });
    if (is_nothing) {
        number.remove(QChar(0x2212)); // what is nought at this many digits has no sign
    }
    const QString sign = by.value > 0.0 && !is_nothing ? u"+"_s : QString();
    const QString with = half > 0.0 ? u" ± "_s + text(format::halfWidthText(half)) : QString();
    return sign + number + with + (unit.isEmpty() ? QString() : u' ' + unit);
}

QString nowText(const session::FigureChange& change, format::Quantity quantity) {
    if (!change.now) {
        return {};
    }
    const QString value = text(format::estimateText(*change.now, quantity));
    return change.now_at_least
               ? LineageModel::tr("at least %1").arg(text(format::valueText(change.now->value, quantity)))
               : value;
}

} // namespace

LineageModel::LineageModel(CompareDesk& desk, QObject* parent)
    : QAbstractTableModel(parent)
    , desk_(desk) {
    connect(&desk_, &CompareDesk::runsChanged, this, &LineageModel::rebuild);
}

void LineageModel::setRuns(std::vector<session::ListedRun> runs) {
    runs_ = std::move(runs);
    rebuild();
}

void LineageModel::rebuild() {
    std::vector<const compare::ComparedRun*> compared(runs_.size(), nullptr);
    for (std::size_t i = 0; i < runs_.size(); ++i) {
        if (const session::RunToCompare* const run = desk_.run(runs_[i].row.id)) {
            compared[i] = run->run.get();
        }
    }
    std::vector<session::LineageLine> lines = session::lineage(runs_, compared);
    if (lines == lines_) {
        return;
    }
    beginResetModel();
    lines_ = std::move(lines);
    lowest_ = std::numeric_limits<double>::infinity();
    highest_ = -lowest_;
    for (const session::LineageLine& line : lines_) {
        if (line.peak_c.now) {
            lowest_ = std::min(lowest_, line.peak_c.now->low);
            highest_ = std::max(highest_, line.peak_c.now->high);
        }
    }
    layRails();
    endResetModel();
}

void LineageModel::layRails() {
    rails_.assign(lines_.size(), {});
    for (std::size_t row = 0; row < lines_.size(); ++row) {
        rails_[row].level = std::max(0, lines_[row].depth - 1); // a chain stands below its first run
        const auto parent = std::find_if(lines_.begin(), lines_.begin() + static_cast<std::ptrdiff_t>(row),
                                         [&](const auto& line) { return lines_[row].parent == line.run; });
        const auto at = static_cast<std::size_t>(parent - lines_.begin());
        if (at == row) {
            continue; // none, or in a ring: it stands above nobody
        }
        rails_[at].goes_on = true;
        rails_[row].from = rails_[at].level;
        for (std::size_t between = at + 1; between < row; ++between) {
            rails_[between].through.push_back(rails_[at].level);
        }
    }
}

bool LineageModel::hasLineage() const {
    return std::any_of(lines_.begin(), lines_.end(), [](const auto& line) { return line.parent.has_value(); });
}

book::RunId LineageModel::idAt(int row) const {
    return row >= 0 && static_cast<std::size_t>(row) < lines_.size()
               ? runs_[lines_[static_cast<std::size_t>(row)].run].row.id
               : book::RunId();
}

int LineageModel::rowOf(const book::RunId& id) const {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        if (runs_[lines_[i].run].row.id == id) {
            return static_cast<int>(i);
        }
    }
    return -1;
}

int LineageModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(lines_.size());
}

int LineageModel::columnCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : columns;
}

QString LineageModel::wordsOf(const session::LineageLine& line, int column) const {
    switch (column) {
    case run_column:
        return text(line.name);
    case change_column:
        if (!line.parent) {
            return tr("the start of a line");
        }
        return line.changes.empty() ? tr("the same again") : text(line.changes.front());
    case peak_column:
        return line.peak_c.difference ? differenceText(line.peak_c, u"K"_s)
                                      : nowText(line.peak_c, format::Quantity::temperature);
    case heat_column:
        return line.heat_j_per_g.difference ? differenceText(line.heat_j_per_g, u"J/g"_s)
                                            : nowText(line.heat_j_per_g, format::Quantity::heat_per_gram);
    case degree_column:
        return line.degree.difference ? differenceText(line.degree, {})
                                      : nowText(line.degree, format::Quantity::degree);
    case outcome_column:
        return text(line.outcome);
    default:
        return {};
    }
}

QString LineageModel::noteOf(const session::LineageLine& line, int column) const {
    switch (column) {
    case run_column:
        return line.parent ? tr("from %1").arg(text(runs_[*line.parent].row.name)) : QString();
    case change_column: {
        QStringList rest;
        for (std::size_t i = 1; i < line.changes.size(); ++i) {
            rest += text(line.changes[i]);
        }
        return rest.join(u", "_s);
    }
    case peak_column: {
        const QString now =
            line.peak_c.difference ? tr("to %1").arg(nowText(line.peak_c, format::Quantity::temperature)) : QString();
        const QString boil = text(session::boilChangeText(line));
        return now.isEmpty() || boil.isEmpty() ? now + boil : now + u", "_s + boil;
    }
    case heat_column:
        return line.heat_j_per_g.difference
                   ? tr("to %1").arg(nowText(line.heat_j_per_g, format::Quantity::heat_per_gram))
                   : QString();
    case degree_column:
        return line.degree.difference ? tr("to %1").arg(nowText(line.degree, format::Quantity::degree)) : QString();
    case outcome_column:
        return line.parent && !line.parent_outcome.empty() && line.parent_outcome != line.outcome
                   ? tr("before: %1").arg(text(line.parent_outcome))
                   : QString();
    default:
        return {};
    }
}

QVariant LineageModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) {
        return {};
    }
    const session::LineageLine& line = lines_[static_cast<std::size_t>(index.row())];
    switch (role) {
    case Qt::DisplayRole:
        return wordsOf(line, index.column());
    case noteRole:
        return noteOf(line, index.column());
    case Qt::ToolTipRole:
    case Qt::AccessibleTextRole: {
        const QString note = noteOf(line, index.column());
        const QString words = wordsOf(line, index.column());
        return note.isEmpty() ? words : words + u"\n"_s + note;
    }
    default:
        return {};
    }
}

QVariant LineageModel::headerData(int section, Qt::Orientation orientation, int role) const {
    if (orientation != Qt::Horizontal || role != Qt::DisplayRole) {
        return {};
    }
    switch (section) {
    case run_column:
        return tr("Run");
    case change_column:
        return tr("What was changed");
    case peak_column:
        return tr("Peak temperature");
    case heat_column:
        return tr("Heat per gram");
    case degree_column:
        return tr("Degree of cure");
    case outcome_column:
        return tr("Outcome");
    default:
        return {};
    }
}

} // namespace potwatch::window
