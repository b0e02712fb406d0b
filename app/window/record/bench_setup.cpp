// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/bench_setup.h"

#include "app/window/settings.h"

#include <QComboBox>
#include <QFileDialog>
#include <QFileInfo>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QToolButton>
#include <QVBoxLayout>

#include <algorithm>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

} // namespace

BenchSetup::BenchSetup(QWidget* parent)
    : QWidget(parent) {
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    head_ = new QToolButton(this);
    head_->setObjectName(u"recordBench"_s);
    head_->setText(tr("Device file, kinetics, what a warning runs"));
    head_->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
    head_->setCheckable(true);
    head_->setAutoRaise(true);
    column->addWidget(head_);
    body_ = new QWidget(this);
    auto* const form = new QFormLayout(body_);
    form->setContentsMargins(fontMetrics().height(), 0, 0, 0);
    column->addWidget(body_);
    device_file_ = fileRow(tr("&Device file"), u"recordDeviceFile"_s, tr("none: speed and lines are found by looking"),
                           tr("Device file"));
    unit_ = new QComboBox(body_);
    unit_->setObjectName(u"recordUnit"_s);
    unit_->addItem(tr("°C"), u"degC"_s);
    unit_->addItem(tr("°F"), u"degF"_s);
    unit_->addItem(tr("K"), u"K"_s);
    unit_->setToolTip(tr("Where neither the line nor a device file says a unit"));
    form->addRow(tr("Values &are in"), unit_);
    kinetics_file_ = fileRow(tr("&Kinetics file"), u"recordKinetics"_s,
                             tr("none: no word on until when stopping the dose helps"), tr("Kinetics file"));
    command_ = new QPlainTextEdit(body_);
    command_->setObjectName(u"recordCommand"_s);
    command_->setAccessibleName(tr("What a warning runs"));
    command_->setPlaceholderText(tr("nothing; or a program, and below it its arguments, one a line. What the warning "
                                    "says comes as one more. No shell."));
    command_->setTabChangesFocus(true);
    command_->setFixedHeight(5 * fontMetrics().height());
    form->addRow(tr("A warning r&uns"), command_);
    auto* const row = new QHBoxLayout;
    auto* const attempt = new QPushButton(tr("Try it"), body_);
    attempt->setObjectName(u"recordTryCommand"_s);
    of_command_ = new QLabel(body_);
    of_command_->setObjectName(u"recordOfCommand"_s);
    of_command_->setTextFormat(Qt::PlainText);
    of_command_->setWordWrap(true);
    row->addWidget(attempt);
    row->addWidget(of_command_, 1);
    form->addRow({}, row);
    connect(head_, &QToolButton::toggled, this, &BenchSetup::open);
    connect(attempt, &QPushButton::clicked, this, &BenchSetup::tryCommandWanted);
    connect(device_file_, &QLineEdit::textChanged, this, &BenchSetup::showSense);
    connect(command_, &QPlainTextEdit::textChanged, this, [this] { of_command_->clear(); });
    open(false);
    showSense();
}

QLineEdit* BenchSetup::fileRow(const QString& label, const QString& name, const QString& without,
                               const QString& title) {
    auto* const row = new QHBoxLayout;
    auto* const line = new QLineEdit(body_);
    line->setObjectName(name);
    line->setPlaceholderText(without);
    line->setClearButtonEnabled(true);
    auto* const choose = new QPushButton(tr("Choose..."), body_);
    choose->setAccessibleName(tr("Choose a file: %1").arg(title));
    row->addWidget(line, 1);
    row->addWidget(choose);
    auto* const words = new QLabel(label, body_);
    words->setBuddy(line);
    static_cast<QFormLayout*>(body_->layout())->addRow(words, row);
    connect(choose, &QPushButton::clicked, this, [this, line, title] {
        const QString file = QFileDialog::getOpenFileName(this, title, QFileInfo(line->text()).path(),
                                                          tr("TOML files (*.toml);;All files (*)"));
        if (!file.isEmpty()) {
            line->setText(file);
        }
    });
    return line;
}

void BenchSetup::open(bool opened) {
    head_->setArrowType(opened ? Qt::DownArrow : Qt::RightArrow);
    body_->setVisible(opened);
}

void BenchSetup::showSense() {
    unit_->setEnabled(deviceFile().isEmpty());
}

void BenchSetup::restore(const Settings& settings) {
    device_file_->setText(settings.text(u"record/device_file"_s));
    unit_->setCurrentIndex(std::max(0, unit_->findData(settings.text(u"record/unit"_s))));
    kinetics_file_->setText(settings.text(u"record/kinetics_file"_s));
    command_->setPlainText(settings.text(u"record/warning_command"_s));
    // What acts is seen to act.
    head_->setChecked(!deviceFile().isEmpty() || !kineticsFile().isEmpty() || !warningCommand().empty() ||
                      unit_->currentIndex() > 0);
}

void BenchSetup::save(Settings& settings) const {
    settings.setText(u"record/device_file"_s, deviceFile());
    settings.setText(u"record/unit"_s, QString::fromStdString(unit()));
    settings.setText(u"record/kinetics_file"_s, kineticsFile());
    settings.setText(u"record/warning_command"_s, command_->toPlainText());
}

QString BenchSetup::deviceFile() const {
    return device_file_->text().trimmed();
}

std::string BenchSetup::unit() const {
    return unit_->currentData().toString().toStdString();
}

QString BenchSetup::kineticsFile() const {
    return kinetics_file_->text().trimmed();
}

std::vector<std::string> BenchSetup::warningCommand() const {
    std::vector<std::string> words;
    for (const QString& line : command_->toPlainText().split(u'\n')) {
        if (!line.trimmed().isEmpty()) {
            words.push_back(line.trimmed().toStdString());
        }
    }
    return words;
}

void BenchSetup::sayOfCommand(const QString& words) {
    of_command_->setText(words);
}

} // namespace potwatch::window
