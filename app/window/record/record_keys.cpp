// SPDX-License-Identifier: GPL-3.0-or-later
// The letter keys of the Record page. A text field keeps its letters: it takes them before a shortcut does.
#include "app/session/event_keys.h"
#include "app/window/record/log_column.h"
#include "app/window/record/record_page.h"
#include "app/window/record/record_setup.h"

#include <QShortcut>
#include <QStackedWidget>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QKeySequence keyOf(char letter) {
    return QKeySequence(QChar::fromLatin1(letter).toUpper());
}

} // namespace

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
            add(live_, key.key, [this] {
                showForm(false);
                log_->takeNote();
            });
        } else {
            add(live_, key.key, [this, kind] { recorder_.enter(kind); });
        }
    }
    add(live_, session::drop_key, [this] { recorder_.drop(); });
    add(live_, session::undo_key, [this] { recorder_.takeBack(); });
    add(live_, 'b', [this] { showForm(side_->currentIndex() == 0); });
    add(live_, 'a', [this] { recorder_.acknowledge(); });
    add(live_, 'q', [this] { stop(); });
    add(setup_, 'r', [this] { record(); });
    auto* const out = new QShortcut(QKeySequence(Qt::Key_Escape), live_);
    QObject::connect(out, &QShortcut::activated, live_, [this] { live_->setFocus(); });
}

} // namespace potwatch::window
