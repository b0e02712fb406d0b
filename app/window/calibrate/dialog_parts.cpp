// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/calibrate/dialog_parts.h"

#include "app/format/quantity_text.h"
#include "app/format/text.h"
#include "app/format/wall_time.h"
#include "app/window/look.h"
#include "app/window/notice_bar.h"

#include <QComboBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QSignalBlocker>

#include <algorithm>
#include <array>
#include <utility>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QString lineOf(const session::ListedRun& run) {
    const QString name = QString::fromStdString(format::oneLine(run.row.name));
    constexpr std::size_t to_the_minute = 16;
    if (!run.row.started) {
        return name;
    }
    std::string started = format::wallTimeText(*run.row.started).substr(0, to_the_minute);
    std::replace(started.begin(), started.end(), 'T', ' ');
    return name + u"  \u00b7  "_s + QString::fromStdString(started);
}

QString capitalised(QString words) {
    if (!words.isEmpty()) {
        words[0] = words.at(0).toUpper();
    }
    return words;
}

} // namespace

QComboBox* runChoice(const ChosenBook& book, const QString& name, QWidget* parent) {
    auto* const choice = new QComboBox(parent);
    choice->setObjectName(name);
    choice->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    choice->setMinimumContentsLength(24);
    (void)refill(*choice, book);
    return choice;
}

bool refill(QComboBox& choice, const ChosenBook& book) {
    const QSignalBlocker quiet(choice);
    const QString before = choice.currentData().toString();
    std::vector<const session::ListedRun*> runs;
    for (const session::ListedRun& run : book.runs) {
        if (!run.row.withdrawn && run.row.state != book::RunState::recording) {
            runs.push_back(&run);
        }
    }
    std::stable_sort(runs.begin(), runs.end(), [](const session::ListedRun* one, const session::ListedRun* other) {
        return session::momentOf(one->row) > session::momentOf(other->row);
    });
    choice.clear();
    for (const session::ListedRun* const run : runs) {
        choice.addItem(lineOf(*run), QString::fromStdString(run->row.id));
    }
    const int place = choice.findData(before.isEmpty() ? QString::fromStdString(book.shown) : before);
    choice.setCurrentIndex(std::min(std::max(0, place), choice.count() - 1));
    choice.setEnabled(choice.count() > 0);
    return choice.currentData().toString() != before;
}

const session::ListedRun* chosenRun(const ChosenBook& book, const QComboBox& choice) {
    const std::string id = choice.currentData().toString().toStdString();
    const auto found = std::find_if(book.runs.begin(), book.runs.end(),
                                    [&](const session::ListedRun& run) { return run.row.id == id; });
    return found == book.runs.end() ? nullptr : &*found;
}

session::OneRun oneRun(const ChosenBook& book, const QComboBox& choice) {
    session::OneRun wanted;
    wanted.run = choice.currentData().toString().toStdString();
    wanted.book = book.path.toStdString();
    return wanted;
}

void addLabelled(QFormLayout& form, const QString& label, QWidget* field) {
    auto* const words = new QLabel(label, field->parentWidget());
    words->setBuddy(field);
    field->setAccessibleName(QString(label).remove(u'&'));
    form.addRow(words, field);
}

QLineEdit* addNumberField(QFormLayout& form, const QString& label, const QString& name, QWidget* parent) {
    auto* const field = new QLineEdit(parent);
    field->setObjectName(name);
    addLabelled(form, label, field);
    return field;
}

QLabel* wrappedText(const QString& name, QWidget* parent) {
    auto* const label = new QLabel(parent);
    label->setObjectName(name);
    label->setTextFormat(Qt::PlainText);
    label->setWordWrap(true);
    label->setAlignment(Qt::AlignTop | Qt::AlignLeft);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    return label;
}

QLabel* quietText(const QString& name, QWidget* parent) {
    auto* const label = wrappedText(name, parent);
    QPalette palette = label->palette();
    palette.setColor(QPalette::WindowText, quietText(palette));
    label->setPalette(palette);
    return label;
}

Result<std::optional<double>> numberIn(const QLineEdit& field, std::string_view unit) {
    const std::string typed = field.text().trimmed().toStdString();
    if (typed.empty()) {
        return std::optional<double>();
    }
    Result<double> number = format::quantityOf(typed, unit);
    if (!number) {
        Fault fault = number.error();
        fault.what = field.accessibleName().toStdString() + ": " + fault.what;
        return tl::unexpected(std::move(fault));
    }
    return std::optional(*number);
}

QString faultsInWords(const std::vector<Fault>& faults) {
    constexpr std::array<std::pair<const char*, const char*>, 5> words{{{"--pressure-kpa", "\"Air pressure\""},
                                                                        {"--surroundings-c", "\"The room\""},
                                                                        {"--water-g", "\"Water\""},
                                                                        {", or [surroundings] in the batch file", ""},
                                                                        {"--config", "the start of the program"}}};
    QStringList lines;
    for (const Fault& fault : faults) {
        QString remedy = remedyText(fault);
        for (const auto& [option, field] : words) {
            remedy.replace(QString::fromLatin1(option), QString::fromLatin1(field));
        }
        const bool has_place = !fault.where.file.empty() || !fault.where.channel.empty(); // a name stays as it is
        const QString what = (has_place ? whatText(fault) : capitalised(whatText(fault))) + u'.';
        lines += remedy.isEmpty() ? what : what + u' ' + capitalised(remedy) + u'.';
    }
    return lines.join(u'\n');
}

} // namespace potwatch::window
