// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/compare/compare_bar.h"

#include <QAbstractItemView>
#include <QComboBox>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QSignalBlocker>

#include <algorithm>
#include <array>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr std::array<compare::Align, 4> aligns{compare::Align::start, compare::Align::dose, compare::Align::onset,
                                               compare::Align::peak};
constexpr int widest_figure = 19; // letters of a name in a box; the list itself is as wide as it must be

QString text(std::string_view utf8) {
    return QString::fromUtf8(utf8.data(), static_cast<qsizetype>(utf8.size()));
}

QComboBox* box(const QString& name, const QString& what, QWidget* parent) {
    auto* const made = new QComboBox(parent);
    made->setObjectName(name);
    made->setAccessibleName(what);
    made->setToolTip(what);
    return made;
}

} // namespace

CompareBar::CompareBar(CompareDesk& desk, QWidget* parent)
    : QWidget(parent)
    , desk_(desk)
    , align_(box(u"compareAlign"_s, tr("The moment at which the traces are laid over each other"), this))
    , x_(box(u"compareX"_s, tr("What stands across"), this))
    , y_(box(u"compareY"_s, tr("What stands upright"), this))
    , limit_(new QLineEdit(this))
    , unit_(new QLabel(this))
    , form_(box(u"compareForm"_s, tr("The form of the trend"), this)) {
    const int gap = fontMetrics().averageCharWidth();
    auto* const row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(gap);
    const auto word = [&](const QString& words, QWidget* buddy) {
        auto* const label = new QLabel(words, this);
        label->setBuddy(buddy);
        row->addWidget(label);
    };
    for (QComboBox* const figure : {x_, y_}) {
        figure->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
        figure->setMinimumContentsLength(widest_figure);
        figure->setMaxVisibleItems(24);
    }
    align_->addItems({tr("start"), tr("dose"), tr("onset"), tr("peak")});
    form_->addItem(tr("chosen by AICc"));
    for (const compare::TrendForm form :
         {compare::TrendForm::straight, compare::TrendForm::logarithmic, compare::TrendForm::saturating}) {
        form_->addItem(text(compare::nameOf(form)));
    }
    limit_->setObjectName(u"compareLimit"_s);
    limit_->setAccessibleName(tr("Limit of what stands upright"));
    limit_->setToolTip(tr("Where the trend meets it is worked out, and the next rate to try; empty = no limit"));
    limit_->setPlaceholderText(tr("none"));
    limit_->setFixedWidth(fontMetrics().horizontalAdvance(u'0') * 9);
    word(tr("Traces &at"), align_);
    row->addWidget(align_);
    row->addSpacing(gap);
    word(tr("&Scatter of"), y_);
    row->addWidget(y_);
    word(tr("a&gainst"), x_);
    row->addWidget(x_);
    row->addSpacing(gap);
    word(tr("&Limit"), limit_);
    row->addWidget(limit_);
    row->addWidget(unit_);
    row->addSpacing(gap);
    word(tr("&Trend"), form_);
    row->addWidget(form_);
    row->addStretch(1);
    for (QComboBox* const one : {align_, x_, y_, form_}) {
        connect(one, &QComboBox::activated, this, &CompareBar::take);
    }
    connect(limit_, &QLineEdit::editingFinished, this, &CompareBar::takeLimit);
    connect(&desk_, &CompareDesk::requestChanged, this, &CompareBar::refresh);
    refresh();
}

void CompareBar::setFigures(const std::vector<const compare::Figure*>& available) {
    std::vector<const compare::Figure*> numbers;
    std::copy_if(available.begin(), available.end(), std::back_inserter(numbers),
                 [](const compare::Figure* figure) { return !figure->is_text; });
    // What is chosen can be seen to be so, also where no run has it.
    for (const std::string& key : {desk_.request().x, desk_.request().y}) {
        const compare::Figure* const figure = compare::findFigure(key);
        if (figure != nullptr && std::find(numbers.begin(), numbers.end(), figure) == numbers.end()) {
            numbers.push_back(figure);
        }
    }
    if (numbers == figures_) {
        return;
    }
    figures_ = std::move(numbers);
    for (QComboBox* const one : {x_, y_}) {
        const QSignalBlocker quiet(one);
        one->clear();
        for (const compare::Figure* const figure : figures_) {
            one->addItem(text(figure->title), text(figure->key));
        }
        one->view()->setMinimumWidth(fontMetrics().averageCharWidth() * 44);
    }
    refresh();
}

void CompareBar::refresh() {
    const session::CompareRequest& request = desk_.request();
    align_->setCurrentIndex(static_cast<int>(std::find(aligns.begin(), aligns.end(), request.align) - aligns.begin()));
    x_->setCurrentIndex(x_->findData(text(request.x)));
    y_->setCurrentIndex(y_->findData(text(request.y)));
    form_->setCurrentIndex(request.form ? 1 + static_cast<int>(*request.form) : 0);
    limit_->setText(request.limit ? QString::number(*request.limit, 'g', 6) : QString());
    const compare::Figure* const y = compare::findFigure(request.y);
    unit_->setText(y != nullptr ? text(y->unit) : QString());
}

void CompareBar::take() {
    session::CompareRequest request = desk_.request();
    request.align = aligns.at(static_cast<std::size_t>(std::max(0, align_->currentIndex())));
    const std::string x = x_->currentData().toString().toStdString();
    const std::string y = y_->currentData().toString().toStdString();
    request.x = x.empty() ? request.x : x;
    if (!y.empty() && y != request.y) {
        request.y = y;
        // A limit belongs to what it limits.
        request.limit = y == "peak_temperature_c" ? std::optional(session::usual_limit_c) : std::nullopt;
    }
    const int form = form_->currentIndex();
    request.form = form <= 0 ? std::nullopt : std::optional(static_cast<compare::TrendForm>(form - 1));
    desk_.setRequest(request);
}

void CompareBar::takeLimit() {
    const QString stated = limit_->text().trimmed().replace(u',', u'.');
    bool is_number = false;
    const double limit = stated.toDouble(&is_number);
    session::CompareRequest request = desk_.request();
    if (stated.isEmpty()) {
        request.limit.reset();
    } else if (is_number) {
        request.limit = limit;
    }
    desk_.setRequest(request);
    refresh(); // what is no number is taken back
}

} // namespace potwatch::window
