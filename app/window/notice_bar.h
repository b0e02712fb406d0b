// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "analysis/values/fault.h"

#include <QString>
#include <QWidget>

#include <functional>
#include <vector>

class QVBoxLayout;

namespace potwatch::window {

struct NoticeAction {
    QString text;
    std::function<void()> act;
    bool closes = true;
};

// What the person should know and may do something about: what happened, what to do, buttons. It stands above the page
// and stops nothing. The latest is on top; the same subject replaces what stood there.
class NoticeBar : public QWidget {
    Q_OBJECT

public:
    explicit NoticeBar(QWidget* parent = nullptr);

    void say(const QString& subject, const QString& what, const QString& remedy, bool caution,
             std::vector<NoticeAction> actions = {});
    void take(const QString& subject); // away
    void clear();
    [[nodiscard]] QStringList texts() const; // for a screen reader's and a test's eye; the latest first

private:
    void trim();

    QVBoxLayout* layout_ = nullptr;
};

// "what; place" and the remedy, as they stand in the bar.
[[nodiscard]] QString whatText(const Fault& fault);
[[nodiscard]] QString remedyText(const Fault& fault);

} // namespace potwatch::window
