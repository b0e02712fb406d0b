// SPDX-License-Identifier: GPL-3.0-or-later
// The letter keys of the Record page. A text field keeps its letters: it takes them before a shortcut does.
#include "app/session/event_keys.h"
#include "app/window/record/record_page.h"

#include <QLineEdit>
#include <QShortcut>
#include <QStackedWidget>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QKeySequence keyOf(char letter) {
    return QKeySequence(QChar::fromLatin1(letter).toUpper());
}

} // namespace

QString RecordPage::keysText() {
    QStringList words;
    for (const session::EventKey& key : session::event_keys) {
        words += u"%1 %2"_s.arg(QChar::fromLatin1(key.key).toUpper())
                     .arg(QString::fromUtf8(key.kind.data(), static_cast<qsizetype>(key.kind.size())));
    }
    words += tr("%1 one drop").arg(QChar::fromLatin1(session::drop_key).toUpper());
    words += tr("%1 take the last one back").arg(QChar::fromLatin1(session::undo_key).toUpper());
    words += tr("A seen, be still");
    words += tr("Q stop");
    return words.join(u", "_s);
}

void RecordPage::buildKeys() {
    // A shortcut of a widget that is not seen does nothing: so these act only while a run is recorded.
    const auto add = [](QWidget* where, char letter, const auto& act) {
        auto* const shortcut = new QShortcut(keyOf(letter), where);
        shortcut->setAutoRepeat(false);
        QObject::connect(shortcut, &QShortcut::activated, where, act);
    };
    for (const session::EventKey& key : session::event_keys) {
        const QString kind = QString::fromUtf8(key.kind.data(), static_cast<qsizetype>(key.kind.size()));
        if (kind == u"note"_s) {
            add(live_, key.key, [this] { note_->setFocus(); });
        } else {
            add(live_, key.key, [this, kind] { recorder_.enter(kind); });
        }
    }
    add(live_, session::drop_key, [this] { recorder_.drop(); });
    add(live_, session::undo_key, [this] { recorder_.takeBack(); });
    add(live_, 'a', [this] { recorder_.acknowledge(); });
    add(live_, 'q', [this] { stop(); });
    add(stack_->widget(0), 'r', [this] { record(); });
}

} // namespace potwatch::window
