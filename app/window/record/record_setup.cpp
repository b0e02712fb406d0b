// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/record_setup.h"

#include "app/window/notice_bar.h"
#include "app/window/pot_form/pot_form.h"
#include "app/window/record/alarm_sound.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

namespace potwatch::window {
namespace {

using namespace Qt::StringLiterals;

QLabel* words(const QString& text, const QString& name, QWidget* parent) {
    auto* const label = new QLabel(text, parent);
    label->setObjectName(name);
    label->setTextFormat(Qt::PlainText);
    label->setWordWrap(true);
    label->setTextInteractionFlags(Qt::TextSelectableByMouse);
    return label;
}

QLabel* heading(const QString& text, QWidget* parent) {
    auto* const label = new QLabel(text, parent);
    QFont font = label->font();
    font.setBold(true);
    label->setFont(font);
    return label;
}

} // namespace

RecordSetup::RecordSetup(QWidget* parent)
    : QWidget(parent) {
    setObjectName(u"recordSetup"_s);
    auto* const row = new QHBoxLayout(this);
    auto* const scroll = new QScrollArea(this);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setWidget(deviceColumn());
    row->addWidget(scroll, 1);
    auto* const right = new QWidget(this);
    auto* const column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    column->addWidget(heading(tr("What is in the pot (all of it may be left empty)"), right));
    form_view_ = new PotForm(form_, right);
    column->addWidget(form_view_, 1);
    row->addWidget(right, 1);
    connect(&form_, &PotFormModel::batchEdited, this, [this](const Batch& batch) { form_.setBatch(batch); });
    setPrevious(std::nullopt, {});
    setConnection(false, false);
}

RecordSetup::~RecordSetup() {
    delete form_view_; // before the model that it looks at
}

QWidget* RecordSetup::deviceColumn() {
    auto* const left = new QWidget(this);
    auto* const column = new QVBoxLayout(left);
    column->addWidget(heading(tr("The thermometer"), left));
    ports_ = new QComboBox(left);
    ports_->setObjectName(u"recordPorts"_s);
    ports_->setAccessibleName(tr("Serial port of the thermometer"));
    ports_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    column->addWidget(ports_);
    auto* const buttons = new QHBoxLayout;
    connect_ = new QPushButton(left);
    connect_->setObjectName(u"recordConnect"_s);
    auto* const again = new QPushButton(tr("&Look again"), left);
    again->setObjectName(u"recordLookAgain"_s);
    buttons->addWidget(connect_);
    buttons->addWidget(again);
    buttons->addStretch(1);
    column->addLayout(buttons);
    trouble_ = words({}, u"recordTrouble"_s, left);
    found_ = words({}, u"recordFound"_s, left);
    readings_ = words({}, u"recordSetupReadings"_s, left);
    column->addWidget(trouble_);
    column->addWidget(found_);
    column->addWidget(readings_);
    column->addSpacing(fontMetrics().height());

    column->addWidget(heading(tr("The run"), left));
    auto* const form = new QFormLayout;
    name_ = new QLineEdit(left);
    name_->setObjectName(u"recordName"_s);
    name_->setPlaceholderText(tr("date and time"));
    form->addRow(tr("&Name"), name_);
    limit_ = new QDoubleSpinBox(left);
    limit_->setObjectName(u"recordLimit"_s);
    limit_->setRange(30.0, 400.0);
    limit_->setDecimals(0);
    limit_->setSuffix(tr(" °C"));
    limit_->setValue(WatchState().limit_c);
    form->addRow(tr("&Warn before"), limit_);
    column->addLayout(form);
    record_ = new QPushButton(tr("&Record"), left);
    record_->setObjectName(u"recordStart"_s);
    column->addWidget(record_);
    column->addSpacing(fontMetrics().height());

    column->addWidget(heading(tr("Without a thermometer"), left));
    auto* const practise = new QPushButton(tr("&Practise with a pretend pot"), left);
    practise->setObjectName(u"recordPractise"_s);
    auto* const fast = new QPushButton(tr("Practise ten times as &fast"), left);
    fast->setObjectName(u"recordPractiseFast"_s);
    column->addWidget(practise);
    column->addWidget(fast);
    column->addSpacing(fontMetrics().height());

    column->addWidget(heading(tr("Safety"), left));
    column->addWidget(words(tr("Potwatch is no safety device: stay at the pot. Its warning can come too late or not at "
                               "all. Work in a fume hood with gloves and a shield, on small batches, with the means "
                               "to quench at hand."),
                            u"recordCautions"_s, left));
    auto* const sound = new QPushButton(tr("&Test the warning sound"), left);
    sound->setObjectName(u"recordTestSound"_s);
    column->addWidget(sound);
    column->addWidget(words(AlarmSound::hasOutput()
                                ? QString()
                                : tr("This computer has no sound output: a warning can only be seen, and beep where "
                                     "the desktop does."),
                            u"recordNoSound"_s, left));
    column->addStretch(1);

    connect(connect_, &QPushButton::clicked, this,
            [this] { is_connected_ ? Q_EMIT letGoWanted() : Q_EMIT connectWanted(); });
    connect(again, &QPushButton::clicked, this, &RecordSetup::lookForPorts);
    connect(record_, &QPushButton::clicked, this, &RecordSetup::recordWanted);
    connect(practise, &QPushButton::clicked, this, [this] { Q_EMIT practiceWanted(1.0); });
    connect(fast, &QPushButton::clicked, this, [this] { Q_EMIT practiceWanted(10.0); });
    connect(sound, &QPushButton::clicked, this, &RecordSetup::soundWanted);
    return left;
}

void RecordSetup::setPrevious(const std::optional<Batch>& batch, const std::string& name) {
    auto run = std::make_shared<session::RunView>();
    run->id = "to be recorded";
    run->notes.batch = form_.batch(); // what was typed stays
    run->previous = batch;
    run->previous_name = name;
    form_.setRun(std::move(run));
}

void RecordSetup::lookForPorts() {
    looking_ = std::jthread([this] {
        auto ports = serial::listPorts();
        QMetaObject::invokeMethod(
            this, [this, ports = std::move(ports)] { showPorts(ports); }, Qt::QueuedConnection);
    });
}

void RecordSetup::showPorts(const Result<std::vector<serial::PortInfo>>& ports) {
    const QString before = port();
    ports_->clear();
    QString trouble;
    if (!ports) {
        trouble = whatText(ports.error()) + u". "_s + remedyText(ports.error());
    } else if (ports->empty()) {
        trouble =
            tr("There is no serial port. Plug the thermometer in and look again, or practise with a pretend pot.");
    } else {
        for (const serial::PortInfo& one : *ports) {
            const QString path = QString::fromStdString(one.path);
            const QString product = QString::fromStdString(one.product);
            ports_->addItem(product.isEmpty() ? path : path + u"  "_s + product, path);
            if (!one.may_be_opened) {
                ports_->setItemData(ports_->count() - 1, QString::fromStdString(one.remedy), Qt::ToolTipRole);
                trouble = tr("You may not open %1: %2.").arg(path, QString::fromStdString(one.remedy));
            }
        }
        ports_->setCurrentIndex(std::max(0, ports_->findData(before)));
    }
    setTrouble(trouble);
    ports_->setEnabled(ports_->count() > 0 && !is_connected_);
    connect_->setEnabled(is_connected_ || ports_->count() > 0);
}

QString RecordSetup::port() const {
    return ports_->currentData().toString();
}

void RecordSetup::setFound(const QString& words) {
    found_->setText(words);
    found_->setVisible(!words.isEmpty());
}

void RecordSetup::setReadings(const QString& words) {
    readings_->setText(words);
    readings_->setVisible(!words.isEmpty());
}

void RecordSetup::setTrouble(const QString& words) {
    trouble_->setText(words);
    trouble_->setVisible(!words.isEmpty());
}

void RecordSetup::setConnection(bool connected, bool ready) {
    is_connected_ = connected;
    connect_->setText(connected ? tr("Let &go") : tr("&Connect"));
    connect_->setEnabled(connected || ports_->count() > 0);
    ports_->setEnabled(!connected && ports_->count() > 0);
    record_->setEnabled(ready);
    record_->setToolTip(ready ? tr("Record (R)") : tr("Connect a thermometer first"));
    if (!connected) {
        setFound({});
        setReadings({});
    }
}

session::RunWanted RecordSetup::wanted() const {
    session::RunWanted wanted;
    wanted.name = name_->text().trimmed().toStdString();
    wanted.batch = form_.batch();
    wanted.watch.limit_c = limit_->value();
    return wanted;
}

void RecordSetup::forgetName() {
    name_->clear();
}

} // namespace potwatch::window
