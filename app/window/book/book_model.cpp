// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/book/book_model.h"

#include "app/format/number.h"
#include "app/window/open_book.h"

#include <QStringList>

#include <algorithm>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString text(const std::string& utf8) {
    return QString::fromStdString(utf8);
}

QString detailOf(const session::BookLine& line, const session::ListedRun& run) {
    QStringList parts{text(line.date_text)};
    if (run.row.notes.batch.blank) {
        parts += BookModel::tr("blank");
    } else if (run.peak_c) {
        // To look down the list, a tenth of a degree is plenty.
        constexpr double least_half_width_k = 0.2;
        const double half_width = std::max((run.peak_c->high - run.peak_c->low) / 2.0, least_half_width_k);
        parts += BookModel::tr("%1 °C").arg(text(format::figureText(run.peak_c->value, half_width)));
        if (run.boiled) {
            parts += BookModel::tr("boiled");
        }
    }
    if (!line.outcome.empty()) {
        parts += text(line.outcome);
    }
    return parts.join(u" · "_s);
}

} // namespace

BookModel::BookModel(OpenBook& book, QObject* parent)
    : QAbstractListModel(parent)
    , book_(book) {
    connect(&book_, &OpenBook::runsChanged, this, &BookModel::rebuild);
    rebuild();
}

void BookModel::setWish(const session::ListWish& wish) {
    if (wish != wish_) {
        wish_ = wish;
        rebuild();
    }
}

void BookModel::rebuild() {
    std::vector<session::ListedRun> runs = book_.runs();
    std::vector<session::BookLine> lines = session::bookLines(runs, wish_);
    const bool same_runs = std::equal(lines.begin(), lines.end(), lines_.begin(), lines_.end(),
                                      [&](const session::BookLine& a, const session::BookLine& b) {
                                          return runs[a.run].row.id == runs_[b.run].row.id;
                                      });
    if (same_runs) {
        // The list stays where it is; only words change.
        std::vector<int> changed;
        for (std::size_t i = 0; i < lines.size(); ++i) {
            if (lines[i].name != lines_[i].name || lines[i].change != lines_[i].change ||
                lines[i].outcome != lines_[i].outcome || lines[i].depth != lines_[i].depth ||
                runs[lines[i].run] != runs_[lines_[i].run]) {
                changed.push_back(static_cast<int>(i));
            }
        }
        runs_ = std::move(runs);
        lines_ = std::move(lines);
        for (const int row : changed) {
            Q_EMIT dataChanged(index(row), index(row));
        }
        return;
    }
    Q_EMIT aboutToReplace();
    beginResetModel();
    runs_ = std::move(runs);
    lines_ = std::move(lines);
    endResetModel();
    Q_EMIT replaced();
}

book::RunId BookModel::idAt(int row) const {
    if (row < 0 || static_cast<std::size_t>(row) >= lines_.size()) {
        return {};
    }
    return runs_[lines_[static_cast<std::size_t>(row)].run].row.id;
}

int BookModel::rowOf(const book::RunId& id) const {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        if (runs_[lines_[i].run].row.id == id) {
            return static_cast<int>(i);
        }
    }
    return -1;
}

int BookModel::rowCount(const QModelIndex& parent) const {
    return parent.isValid() ? 0 : static_cast<int>(lines_.size());
}

QVariant BookModel::data(const QModelIndex& index, int role) const {
    if (!checkIndex(index, CheckIndexOption::IndexIsValid)) {
        return {};
    }
    const session::BookLine& line = lines_[static_cast<std::size_t>(index.row())];
    const session::ListedRun& run = runs_[line.run];
    QStringList tags;
    for (const std::string& tag : run.row.notes.tags) {
        tags += text(tag);
    }
    switch (role) {
    case Qt::EditRole:
    case nameRole:
        return text(line.name);
    case Qt::DisplayRole:
        return line.change.empty() ? text(line.name) : tr("%1: %2").arg(text(line.name), text(line.change));
    case changeRole:
        return text(line.change);
    case detailRole:
        return detailOf(line, run);
    case tagsRole:
        return tags;
    case depthRole:
        return line.depth;
    case stateRole:
        return static_cast<int>(run.row.state);
    case idRole:
        return text(run.row.id);
    case Qt::ToolTipRole:
    case Qt::AccessibleDescriptionRole:
    case Qt::AccessibleTextRole: {
        QString words = data(index, Qt::DisplayRole).toString() + u'\n' + detailOf(line, run);
        if (!tags.isEmpty()) {
            words += u'\n' + tr("Tags: %1").arg(tags.join(u", "_s));
        }
        if (run.row.state == book::RunState::recording) {
            words += u'\n' + tr("Being recorded now");
        } else if (run.row.state == book::RunState::recovered) {
            words += u'\n' + tr("Its recording was not ended; what had arrived was recovered");
        }
        return role == Qt::ToolTipRole ? words : words.replace(u'\n', u". "_s);
    }
    default:
        return {};
    }
}

Qt::ItemFlags BookModel::flags(const QModelIndex& index) const {
    const Qt::ItemFlags flags = QAbstractListModel::flags(index);
    return book_.isReadOnly() ? flags : flags | Qt::ItemIsEditable;
}

bool BookModel::setData(const QModelIndex& index, const QVariant& value, int role) {
    if (role != Qt::EditRole || !index.isValid()) {
        return false;
    }
    book_.rename(idAt(index.row()), value.toString());
    return true;
}

} // namespace potwatch::window
