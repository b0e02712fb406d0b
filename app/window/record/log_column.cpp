// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/log_column.h"

#include "app/session/event_keys.h"

#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QVBoxLayout>
#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int most_lines = 2000;

QString upper(char letter) {
    return QString(QChar::fromLatin1(letter).toUpper());
}

} // namespace

LogColumn::LogColumn(QWidget* parent)
    : QWidget(parent) {
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    list_ = new QListWidget(this);
    list_->setObjectName(u"recordLog"_s);
    list_->setAccessibleName(tr("Log, newest on top"));
    list_->setWordWrap(true);
    list_->setSelectionMode(QAbstractItemView::NoSelection);
    list_->setFocusPolicy(Qt::NoFocus);
    list_->setAlternatingRowColors(true);
    list_->setTextElideMode(Qt::ElideNone);
    list_->setResizeMode(QListView::Adjust); // lines are broken anew where a scroll bar comes
    list_->setVerticalScrollBarPolicy(Qt::ScrollBarAlwaysOn);
    list_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    note_ = new QLineEdit(this);
    note_->setObjectName(u"recordNote"_s);
    note_->setPlaceholderText(tr("N: a note, then Enter"));
    note_->setAccessibleName(tr("Note"));
    auto* const form = new QPushButton(tr("What is in the pot (B)"), this);
    form->setObjectName(u"recordShowForm"_s);
    form->setFocusPolicy(Qt::NoFocus);
    stop_ = new QPushButton(tr("Stop (Q)"), this);
    stop_->setObjectName(u"recordStop"_s);
    stop_->setFocusPolicy(Qt::NoFocus); // nobody should stop a run by Space
    column->addWidget(list_, 1);
    column->addWidget(note_);
    column->addWidget(keys());
    column->addWidget(form);
    column->addWidget(stop_);
    connect(form, &QPushButton::clicked, this, &LogColumn::formWanted);
    connect(stop_, &QPushButton::clicked, this, &LogColumn::stopWanted);
    connect(note_, &QLineEdit::returnPressed, this, [this] {
        const QString words = note_->text().trimmed();
        note_->clear();
        Q_EMIT noteTyped(words);
    });
}

QWidget* LogColumn::keys() {
    auto* const keys = new QWidget(this);
    keys->setObjectName(u"recordKeys"_s);
    auto* const grid = new QGridLayout(keys);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setVerticalSpacing(1);
    std::vector<std::pair<QString, QString>> entries;
    for (const session::EventKey& key : session::event_keys) {
        entries.emplace_back(upper(key.key),
                             QString::fromUtf8(key.kind.data(), static_cast<qsizetype>(key.kind.size())));
    }
    entries.emplace_back(upper(session::drop_key), tr("one drop"));
    entries.emplace_back(upper(session::undo_key), tr("take it back"));
    entries.emplace_back(u"A"_s, tr("seen: be still"));
    entries.emplace_back(u"Esc"_s, tr("out of a field"));
    const auto rows = static_cast<int>((entries.size() + 1) / 2);
    for (int i = 0; i < static_cast<int>(entries.size()); ++i) {
        const auto& [key, words] = entries[static_cast<std::size_t>(i)];
        auto* const letter = new QLabel(key, keys);
        QFont bold = letter->font();
        bold.setBold(true);
        letter->setFont(bold);
        grid->addWidget(letter, i % rows, 2 * (i / rows));
        grid->addWidget(new QLabel(words, keys), i % rows, 2 * (i / rows) + 1);
    }
    grid->setColumnStretch(1, 1);
    grid->setColumnStretch(3, 1);
    return keys;
}

QString LogColumn::clockText(double time_s) {
    const auto whole = static_cast<long>(std::max(0.0, time_s));
    return QString::fromStdString(whole >= 3600
                                      ? fmt::format("{}:{:02}:{:02}", whole / 3600, whole / 60 % 60, whole % 60)
                                      : fmt::format("{:02}:{:02}", whole / 60, whole % 60));
}

void LogColumn::clear() {
    list_->clear();
}

void LogColumn::add(double time_s, const QString& words) {
    list_->insertItem(0, clockText(time_s) + u"  "_s + words);
    while (list_->count() > most_lines) {
        delete list_->takeItem(list_->count() - 1);
    }
}

void LogColumn::takeNote() {
    note_->setFocus();
}

void LogColumn::setStopping(bool stopping) {
    stop_->setEnabled(!stopping);
}

} // namespace potwatch::window
