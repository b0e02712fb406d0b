// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/compare/compare_desk.h"

#include <QByteArray>
#include <QPixmap>
#include <QString>
#include <QWidget>

#include <map>
#include <utility>

class QHBoxLayout;
class QLabel;

namespace potwatch::window {

// The outcome of the run that is lit up: density, voids, foam, what the person wrote, and its photos beside them.
class LitPanel : public QWidget {
    Q_OBJECT

public:
    explicit LitPanel(CompareDesk& desk, QWidget* parent = nullptr);

    // The answer to photoNeeded.
    void setPhoto(const book::RunId& id, const QString& name, const QByteArray& bytes);
    void forget(); // the runs are another book's

Q_SIGNALS:
    void photoNeeded(const potwatch::book::RunId& id, const QString& name);
    void photoWanted(const potwatch::book::RunId& id, const QString& name); // to be looked at large

private:
    void refresh();

    CompareDesk& desk_;
    QLabel* title_;
    QLabel* words_;
    QWidget* photos_;
    QHBoxLayout* row_;
    std::map<std::pair<book::RunId, QString>, QPixmap> pictures_; // small; null until it comes
};

} // namespace potwatch::window
