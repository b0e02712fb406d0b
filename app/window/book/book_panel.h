// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/session/book_list.h"
#include "app/window/book/book_model.h"
#include "app/window/settings.h"

#include <QWidget>

#include <vector>

class QAction;
class QLabel;
class QLineEdit;
class QListView;
class QMenu;
class QToolButton;

namespace potwatch::window {

class OpenBook;

// The batch book at the side: search, sort, tags, and the list of its runs.
class BookPanel : public QWidget {
    Q_OBJECT

public:
    BookPanel(OpenBook& book, QWidget* parent = nullptr);

    [[nodiscard]] std::vector<book::RunId> selectedRuns() const;
    [[nodiscard]] std::vector<book::RunId> listedRuns() const; // that meet the search and the tag, as they stand
    void selectRun(const book::RunId& id);
    void step(int lines); // to the next run, or back
    void rename();        // the current one, in place
    void focusSearch();
    void focusList();
    void setContextActions(const QList<QAction*>& actions);

    void restore(const Settings& settings);
    void save(Settings& settings) const;

    // "12 of 40 runs"; beside it, what goes on in the background.
    void setActivity(const QString& text);

Q_SIGNALS:
    void selectionChanged();
    void listedChanged(); // other runs are listed
    void pageWanted();    // Enter on a run: the page gets the keys

protected:
    void paintEvent(QPaintEvent* event) override;
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    void buildSortMenu();
    void fillTagMenu();
    void wishChanged();
    void showWish();
    void keepSelection();
    void restoreSelection();

    OpenBook& book_;
    BookModel* model_ = nullptr;
    QLineEdit* search_ = nullptr;
    QToolButton* sort_ = nullptr;
    QToolButton* tags_ = nullptr;
    QMenu* sort_menu_ = nullptr;
    QMenu* tag_menu_ = nullptr;
    QListView* list_ = nullptr;
    QLabel* count_ = nullptr;
    session::ListWish wish_;
    QString activity_;
    std::vector<book::RunId> kept_;
    book::RunId kept_current_;
    int kept_row_ = 0;
};

} // namespace potwatch::window
