// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/book/book_panel.h"

#include "app/window/book/book_delegate.h"
#include "app/window/look.h"
#include "app/window/open_book.h"

#include <QActionGroup>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QLabel>
#include <QLineEdit>
#include <QListView>
#include <QMenu>
#include <QPainter>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>
#include <array>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr std::array<session::SortKey, 4> sort_keys{session::SortKey::date, session::SortKey::name,
                                                    session::SortKey::peak, session::SortKey::doseRate};

QString wordOf(session::SortKey key) {
    switch (key) {
    case session::SortKey::date:
        return BookPanel::tr("Date");
    case session::SortKey::name:
        return BookPanel::tr("Name");
    case session::SortKey::peak:
        return BookPanel::tr("Peak");
    case session::SortKey::doseRate:
        return BookPanel::tr("Dose rate");
    }
    return {};
}

QToolButton* menuButton(const QString& name, QMenu* menu, QWidget* parent) {
    auto* const button = new QToolButton(parent);
    button->setObjectName(name);
    button->setAutoRaise(true);
    button->setMenu(menu);
    button->setPopupMode(QToolButton::InstantPopup);
    button->setToolButtonStyle(Qt::ToolButtonTextOnly);
    button->setFocusPolicy(Qt::StrongFocus);
    button->setStyleSheet(u"QToolButton::menu-indicator { image: none; }"_s); // the words say it
    return button;
}

} // namespace

BookPanel::BookPanel(OpenBook& book, QWidget* parent)
    : QWidget(parent)
    , book_(book)
    , model_(new BookModel(book, this))
    , search_(new QLineEdit(this))
    , sort_menu_(new QMenu(this))
    , tag_menu_(new QMenu(this))
    , list_(new QListView(this))
    , count_(new QLabel(this)) {
    setObjectName(u"bookPanel"_s);
    setAccessibleName(tr("Batch book"));
    const int line = fontMetrics().height();
    search_->setObjectName(u"bookSearch"_s);
    search_->setAccessibleName(tr("Search runs"));
    search_->setPlaceholderText(tr("Search runs"));
    search_->setToolTip(tr("Words in names, notes, tags, substances and events (Ctrl+F)"));
    search_->setClearButtonEnabled(true);
    search_->setAcceptDrops(false); // files that are dropped are the window's
    search_->installEventFilter(this);
    sort_ = menuButton(u"bookSort"_s, sort_menu_, this);
    tags_ = menuButton(u"bookTags"_s, tag_menu_, this);
    buildSortMenu();

    list_->setObjectName(u"bookList"_s);
    list_->setAccessibleName(tr("Runs"));
    list_->setModel(model_);
    list_->setItemDelegate(new BookDelegate(list_));
    list_->setSelectionMode(QAbstractItemView::ExtendedSelection);
    list_->setEditTriggers(QAbstractItemView::EditKeyPressed);
    list_->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    list_->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    list_->setUniformItemSizes(true);
    list_->setFrameShape(QFrame::NoFrame);
    list_->setMouseTracking(true);
    list_->viewport()->setAutoFillBackground(false);
    list_->installEventFilter(this);

    count_->setObjectName(u"bookCount"_s);
    count_->setContentsMargins(line / 2, 0, line / 2, 0);

    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, line / 2, 1, line / 3);
    column->setSpacing(line / 4);
    auto* const search_row = new QHBoxLayout;
    search_row->setContentsMargins(line / 2, 0, line / 2, 0);
    search_row->addWidget(search_);
    column->addLayout(search_row);
    auto* const order_row = new QHBoxLayout;
    order_row->setContentsMargins(line / 3, 0, line / 3, 0);
    order_row->addWidget(sort_);
    order_row->addStretch(1);
    order_row->addWidget(tags_);
    column->addLayout(order_row);
    column->addWidget(list_, 1);
    column->addWidget(count_);
    setMinimumWidth(line * 10);

    connect(search_, &QLineEdit::textChanged, this, [this](const QString& text) {
        wish_.search = text.toStdString();
        wishChanged();
    });
    connect(tag_menu_, &QMenu::aboutToShow, this, &BookPanel::fillTagMenu);
    connect(model_, &BookModel::aboutToReplace, this, &BookPanel::keepSelection);
    connect(model_, &BookModel::replaced, this, &BookPanel::restoreSelection);
    connect(model_, &BookModel::replaced, this, &BookPanel::listedChanged);
    connect(&book_, &OpenBook::runsChanged, this, &BookPanel::showWish);
    connect(&book_, &OpenBook::shownChanged, this, [this] { selectRun(book_.shownId()); });
    connect(list_->selectionModel(), &QItemSelectionModel::currentChanged, this, [this](const QModelIndex& current) {
        if (current.isValid()) {
            book_.show(model_->idAt(current.row()));
        }
    });
    connect(list_->selectionModel(), &QItemSelectionModel::selectionChanged, this, &BookPanel::selectionChanged);
    connect(list_, &QListView::activated, this, &BookPanel::pageWanted);
    showWish();
}

void BookPanel::buildSortMenu() {
    auto* const keys = new QActionGroup(this);
    for (const session::SortKey key : sort_keys) {
        QAction* const action = sort_menu_->addAction(tr("By &%1").arg(wordOf(key).toLower()));
        action->setCheckable(true);
        action->setData(static_cast<int>(key));
        keys->addAction(action);
    }
    connect(keys, &QActionGroup::triggered, this, [this](const QAction* action) {
        wish_.sort = static_cast<session::SortKey>(action->data().toInt());
        wishChanged();
    });
    sort_menu_->addSeparator();
    auto* const orders = new QActionGroup(this);
    for (const bool descending : {false, true}) {
        QAction* const action = sort_menu_->addAction(descending ? tr("D&escending") : tr("&Ascending"));
        action->setCheckable(true);
        action->setData(descending);
        orders->addAction(action);
    }
    connect(orders, &QActionGroup::triggered, this, [this](const QAction* action) {
        wish_.descending = action->data().toBool();
        wishChanged();
    });
    connect(sort_menu_, &QMenu::aboutToShow, this, [this] {
        for (QAction* const action : sort_menu_->actions()) {
            if (action->data().typeId() == QMetaType::Bool) {
                action->setChecked(action->data().toBool() == wish_.descending);
            } else if (action->data().isValid()) {
                action->setChecked(action->data().toInt() == static_cast<int>(wish_.sort));
            }
        }
    });
}

void BookPanel::fillTagMenu() {
    tag_menu_->clear();
    const auto add = [this](const QString& word, const std::string& tag) {
        QAction* const action = tag_menu_->addAction(word);
        action->setCheckable(true);
        action->setChecked(wish_.tag == tag);
        connect(action, &QAction::triggered, this, [this, tag] {
            wish_.tag = tag;
            wishChanged();
        });
    };
    add(tr("All runs"), {});
    tag_menu_->addSeparator();
    for (const std::string& tag : session::tagsOf(book_.runs())) {
        add(QString::fromStdString(tag), tag);
    }
}

void BookPanel::wishChanged() {
    model_->setWish(wish_);
    showWish();
}

void BookPanel::showWish() {
    const QString arrow = wish_.descending ? u"↓"_s : u"↑"_s;
    sort_->setText(tr("%1 %2").arg(wordOf(wish_.sort), arrow));
    sort_->setToolTip(tr("In what order the runs stand"));
    sort_->setAccessibleName(
        tr("Sorted by %1, %2").arg(wordOf(wish_.sort), wish_.descending ? tr("descending") : tr("ascending")));
    const std::vector<std::string> tags = session::tagsOf(book_.runs());
    if (!wish_.tag.empty() && std::find(tags.begin(), tags.end(), wish_.tag) == tags.end()) {
        wish_.tag.clear(); // nobody has it any more
        model_->setWish(wish_);
    }
    tags_->setVisible(!tags.empty());
    tags_->setText(wish_.tag.empty() ? tr("All tags") : QString::fromStdString(wish_.tag));
    tags_->setToolTip(tr("Show only the runs with a tag"));
    tags_->setAccessibleName(tr("Tag: %1").arg(tags_->text()));
    const auto all = static_cast<int>(
        std::count_if(book_.runs().begin(), book_.runs().end(), [](const auto& run) { return !run.row.withdrawn; }));
    const int shown = model_->rowCount();
    QString words;
    if (book_.state() == OpenBook::State::open) {
        words = all == 1 ? tr("1 run") : tr("%1 runs").arg(all);
        words = shown == all ? words : tr("%1 of %2").arg(shown).arg(words);
    }
    count_->setText(activity_.isEmpty() ? words : tr("%1; %2").arg(words, activity_));
    QPalette quiet = palette();
    quiet.setColor(QPalette::WindowText, quietText(palette()));
    count_->setPalette(quiet);
}

void BookPanel::setActivity(const QString& text) {
    if (text != activity_) {
        activity_ = text;
        showWish();
    }
}

std::vector<book::RunId> BookPanel::selectedRuns() const {
    QModelIndexList rows = list_->selectionModel()->selectedIndexes();
    std::sort(rows.begin(), rows.end());
    std::vector<book::RunId> ids;
    for (const QModelIndex& row : rows) {
        ids.push_back(model_->idAt(row.row()));
    }
    return ids;
}

std::vector<book::RunId> BookPanel::listedRuns() const {
    std::vector<book::RunId> ids;
    for (int row = 0; row < model_->rowCount(); ++row) {
        ids.push_back(model_->idAt(row));
    }
    return ids;
}

void BookPanel::selectRun(const book::RunId& id) {
    const int row = model_->rowOf(id);
    if (row < 0) {
        if (id.empty()) {
            list_->clearSelection();
            list_->selectionModel()->setCurrentIndex({}, QItemSelectionModel::NoUpdate);
        }
        return;
    }
    if (list_->currentIndex().row() != row) {
        list_->setCurrentIndex(model_->index(row));
    }
}

void BookPanel::step(int lines) {
    const int rows = model_->rowCount();
    if (rows > 0) {
        const int now = list_->currentIndex().isValid() ? list_->currentIndex().row() : (lines > 0 ? -1 : rows);
        list_->setCurrentIndex(model_->index(std::clamp(now + lines, 0, rows - 1)));
    }
}

void BookPanel::rename() {
    if (list_->currentIndex().isValid() && !book_.isReadOnly()) {
        list_->setFocus();
        list_->edit(list_->currentIndex());
    }
}

void BookPanel::focusSearch() {
    search_->setFocus(Qt::ShortcutFocusReason);
    search_->selectAll();
}

void BookPanel::focusList() {
    list_->setFocus(Qt::ShortcutFocusReason);
}

void BookPanel::setContextActions(const QList<QAction*>& actions) {
    list_->setContextMenuPolicy(Qt::ActionsContextMenu);
    list_->addActions(actions);
}

void BookPanel::keepSelection() {
    kept_ = selectedRuns();
    kept_row_ = std::max(0, list_->currentIndex().row());
    kept_current_ = book_.shownId();
}

void BookPanel::restoreSelection() {
    QItemSelection selection;
    for (const book::RunId& id : kept_) {
        if (const int row = model_->rowOf(id); row >= 0) {
            selection.select(model_->index(row), model_->index(row));
        }
    }
    const int current = model_->rowOf(kept_current_);
    if (current >= 0) {
        list_->selectionModel()->setCurrentIndex(model_->index(current), QItemSelectionModel::NoUpdate);
        list_->selectionModel()->select(selection, QItemSelectionModel::ClearAndSelect);
        list_->scrollTo(model_->index(current));
        return;
    }
    // The run that was shown is deleted: the one that took its place is next. A run that is only filtered away stays.
    const session::ListedRun* const shown = book_.run(kept_current_);
    const bool deleted = !kept_current_.empty() && (shown == nullptr || shown->row.withdrawn);
    if (deleted && model_->rowCount() > 0) {
        list_->setCurrentIndex(model_->index(std::min(kept_row_, model_->rowCount() - 1)));
    }
}

void BookPanel::restore(const Settings& settings) {
    const int key = settings.text(u"book/sort"_s).toInt();
    if (key >= 0 && static_cast<std::size_t>(key) < sort_keys.size()) {
        wish_.sort = sort_keys.at(static_cast<std::size_t>(key));
    }
    wish_.descending = settings.flag(u"book/descending"_s, false);
    wishChanged();
}

void BookPanel::save(Settings& settings) const {
    settings.setText(u"book/sort"_s, QString::number(static_cast<int>(wish_.sort)));
    settings.setFlag(u"book/descending"_s, wish_.descending);
}

void BookPanel::paintEvent(QPaintEvent* /*event*/) {
    QPainter painter(this);
    painter.fillRect(rect(), panelGround(palette()));
    painter.fillRect(QRect(width() - 1, 0, 1, height()), hairline(palette()));
}

bool BookPanel::eventFilter(QObject* watched, QEvent* event) {
    if (event->type() == QEvent::KeyPress) {
        const auto* const key = static_cast<QKeyEvent*>(event);
        if (watched == search_ && (key->key() == Qt::Key_Down || key->key() == Qt::Key_Return)) {
            focusList();
            if (!list_->currentIndex().isValid()) {
                step(1);
            }
            return true;
        }
        if (watched == search_ && key->key() == Qt::Key_Escape) {
            search_->clear();
            focusList();
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace potwatch::window
