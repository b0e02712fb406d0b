// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "app/window/analyse/exporter.h"
#include "app/window/compare/compare_desk.h"
#include "app/window/compare/compare_page.h"
#include "app/window/compare/lineage_model.h"

class QLabel;
class QProgressBar;
class QSplitter;
class QStackedWidget;
class QTableView;
class QTextBrowser;
class QToolButton;

namespace potwatch::window {

class CompareBar;
class CompareChart;
class CompareTable;
class LitPanel;

// The inside of the page: built in compare_build.cpp, shown and handed on in compare_page.cpp.
struct ComparePage::Parts {
    explicit Parts(ComparePage& of_page)
        : page(of_page) {}

    ComparePage& page;
    CompareDesk desk;
    LineageModel lineage{desk};
    Exporter exporter;
    std::size_t in_book = 0;
    std::size_t listed = 0;
    bool showing_lit = false;

    QWidget* whole = nullptr;
    QToolButton* to_compare = nullptr;
    QToolButton* to_lineage = nullptr;
    QWidget* working = nullptr;
    QLabel* working_words = nullptr;
    QProgressBar* progress = nullptr;
    QToolButton* take = nullptr;
    QLabel* headline_label = nullptr;
    CompareBar* bar = nullptr;
    QStackedWidget* body = nullptr; // empty, comparison, lineage
    QLabel* empty = nullptr;
    QSplitter* splitter = nullptr;
    CompareChart* chart = nullptr;
    CompareTable* table = nullptr;
    QTextBrowser* words = nullptr;
    LitPanel* lit = nullptr;
    QTableView* tree = nullptr;

    void build();
    QWidget* topRow();
    void buildTake();
    QWidget* sideColumn();
    void buildTree();
    void connectAll();
    void show();
    [[nodiscard]] QString whyEmpty() const;
    void showLitRow();
    void exportCsv();
    void exportPicture();
    void copyPicture();
};

} // namespace potwatch::window
