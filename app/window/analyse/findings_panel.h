// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/analyse_model.h"

#include <QWidget>

#include <optional>

class QLabel;
class QListWidget;
class QSplitter;
class QTableView;
class QTextBrowser;
class QUrl;

namespace potwatch::window {

// Findings, how the chosen one was computed, and the warnings.
class FindingsPanel : public QWidget {
    Q_OBJECT

public:
    explicit FindingsPanel(AnalyseModel& page, QWidget* parent = nullptr);

    void chooseNone();
    void copyChosen();
    void copyAll();

Q_SIGNALS:
    void chosen(int row); // of the findings; -1: none
    void fieldWanted(const QString& place);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void refresh();
    void chooseAgain();
    void layOutRows();
    void explain();
    void follow(const QUrl& link);
    void warningTaken(int row);

    AnalyseModel& page_;
    std::optional<format::FindingRow> chosen_; // to be found again among new findings
    QSplitter* splitter_;
    bool moved_ = false; // the splitter, by the person
    QTableView* table_;
    QTextBrowser* explanation_;
    QLabel* warnings_title_;
    QListWidget* warnings_;
};

} // namespace potwatch::window
