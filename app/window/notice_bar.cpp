// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/notice_bar.h"

#include "app/format/text.h"
#include "app/window/icons.h"
#include "app/window/look.h"

#include <QAccessible>
#include <QHBoxLayout>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

constexpr int most_notices = 3;

QString sentence(QString text) {
    text = text.trimmed();
    if (!text.isEmpty()) {
        const bool file_name = text.section(u' ', 0, 0).contains(u'.');
        text[0] = file_name ? text[0] : text[0].toUpper();
        if (!text.endsWith(u'.') && !text.endsWith(u'?')) {
            text += u'.';
        }
    }
    return text;
}

class SignLabel : public QWidget {
public:
    SignLabel(Sign sign, QWidget* parent)
        : QWidget(parent)
        , sign_(sign) {
        const int size = static_cast<int>(1.25 * fontMetrics().height());
        setFixedSize(size, size);
    }

protected:
    void paintEvent(QPaintEvent* /*event*/) override {
        QPainter painter(this);
        drawSign(painter, sign_, QRectF(rect()).adjusted(1, 1, -1, -1), palette().color(QPalette::WindowText));
    }

private:
    Sign sign_;
};

// One notice.
class Notice : public QWidget {
public:
    Notice(QString subject, const QString& what, const QString& remedy, bool caution,
           const std::vector<NoticeAction>& actions, QWidget* parent)
        : QWidget(parent)
        , text_(remedy.isEmpty() ? sentence(what) : sentence(what) + u' ' + sentence(remedy))
        , subject_(std::move(subject)) {
        auto* const row = new QHBoxLayout(this);
        const int line = fontMetrics().height();
        row->setContentsMargins(line * 3 / 4, line / 3, line / 3, line / 3);
        row->setSpacing(line / 2);
        row->addWidget(new SignLabel(caution ? Sign::caution : Sign::information, this), 0, Qt::AlignVCenter);
        auto* const label = new QLabel(text_, this);
        label->setObjectName(u"noticeText"_s);
        label->setTextFormat(Qt::PlainText);
        label->setWordWrap(true);
        label->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
        label->setAccessibleName(text_);
        row->addWidget(label, 1);
        for (const NoticeAction& action : actions) {
            auto* const button = new QPushButton(action.text, this);
            button->setObjectName(u"noticeAction"_s);
            button->setAccessibleName(action.text);
            connect(button, &QPushButton::clicked, this, [this, action] {
                const auto act = action.act; // this may be gone afterwards
                if (action.closes) {
                    deleteLater();
                }
                act();
            });
            row->addWidget(button);
        }
        auto* const close = new QToolButton(this);
        close->setObjectName(u"noticeClose"_s);
        close->setText(u"×"_s);
        close->setAutoRaise(true);
        close->setToolTip(NoticeBar::tr("Close this notice"));
        close->setAccessibleName(NoticeBar::tr("Close this notice"));
        connect(close, &QToolButton::clicked, this, &QObject::deleteLater);
        row->addWidget(close, 0, Qt::AlignVCenter);
    }

    [[nodiscard]] const QString& subject() const { return subject_; }
    [[nodiscard]] const QString& text() const { return text_; }

protected:
    void paintEvent(QPaintEvent* /*event*/) override {
        QPainter painter(this);
        const QColor ground = palette().color(QPalette::Window);
        // Warm, as paper that was put on top; the words and the sign say what it is.
        painter.fillRect(rect(), mixed(ground, QColor(230, 159, 0), isDark(palette()) ? 0.16 : 0.20));
        painter.fillRect(QRect(0, height() - 1, width(), 1), hairline(palette()));
    }

private:
    QString text_;
    QString subject_;
};

} // namespace

NoticeBar::NoticeBar(QWidget* parent)
    : QWidget(parent)
    , layout_(new QVBoxLayout(this)) {
    setObjectName(u"noticeBar"_s);
    setAccessibleName(tr("Notices"));
    layout_->setContentsMargins(0, 0, 0, 0);
    layout_->setSpacing(0);
}

void NoticeBar::say(const QString& subject, const QString& what, const QString& remedy, bool caution,
                    std::vector<NoticeAction> actions) {
    take(subject);
    auto* const notice = new Notice(subject, what, remedy, caution, actions, this);
    layout_->insertWidget(0, notice);
    notice->show();
    trim();
    QAccessibleEvent event(notice, QAccessible::Alert);
    QAccessible::updateAccessibility(&event);
}

void NoticeBar::take(const QString& subject) {
    for (int i = layout_->count() - 1; i >= 0; --i) {
        auto* const notice = static_cast<Notice*>(layout_->itemAt(i)->widget());
        if (notice->subject() == subject) {
            layout_->removeWidget(notice);
            notice->hide();
            notice->deleteLater();
        }
    }
}

void NoticeBar::clear() {
    while (layout_->count() > 0) {
        QWidget* const notice = layout_->itemAt(0)->widget();
        layout_->removeWidget(notice);
        notice->hide();
        notice->deleteLater();
    }
}

QStringList NoticeBar::texts() const {
    QStringList texts;
    for (int i = 0; i < layout_->count(); ++i) {
        texts += static_cast<const Notice*>(layout_->itemAt(i)->widget())->text();
    }
    return texts;
}

void NoticeBar::trim() {
    while (layout_->count() > most_notices) {
        QWidget* const oldest = layout_->itemAt(layout_->count() - 1)->widget();
        layout_->removeWidget(oldest);
        oldest->hide();
        oldest->deleteLater();
    }
}

QString whatText(const Fault& fault) {
    QString what = QString::fromStdString(fault.what);
    QString place;
    if (!fault.where.file.empty()) {
        place = QString::fromStdString(format::fileNameOf(fault.where.file));
        if (fault.where.line) {
            place = NoticeBar::tr("%1, line %2").arg(place).arg(*fault.where.line);
        }
    } else if (!fault.where.channel.empty()) {
        place = QString::fromStdString(fault.where.channel);
    }
    return place.isEmpty() ? what : place + u": "_s + what;
}

QString remedyText(const Fault& fault) {
    return QString::fromStdString(fault.remedy);
}

} // namespace potwatch::window
