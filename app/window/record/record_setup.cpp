// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/record/record_setup.h"

#include "app/session/live_channels.h"
#include "app/window/notice_bar.h"
#include "app/window/pot_form/pot_form.h"
#include "app/window/record/alarm_sound.h"
#include "app/window/record/bench_setup.h"
#include "app/window/settings.h"

#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

#include <algorithm>

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
    scroll->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    scroll->setWidget(leftColumn());
    row->addWidget(scroll, 1);
    auto* const right = new QWidget(this);
    auto* const column = new QVBoxLayout(right);
    column->setContentsMargins(0, 0, 0, 0);
    auto* const head = new QHBoxLayout;
    head->addWidget(heading(tr("What is in the pot (all of it may be left empty, or filled in later)"), right), 1);
    head->addWidget(undo_.makeButton(right));
    column->addLayout(head);
    form_view_ = new PotForm(form_, right);
    column->addWidget(form_view_, 1);
    row->addWidget(right, 1);
    connect(&form_, &PotFormModel::batchEdited, this, &RecordSetup::batchEdited);
    connect(&form_, &PotFormModel::batchEdited, this, &RecordSetup::leaveOutMissing);
    connect(&undo_, &FormUndo::undone, this, &RecordSetup::batchEdited);
    connect(&undo_, &FormUndo::undone, this, &RecordSetup::leaveOutMissing);
    showForm();
    setDevice(false, false);
}

RecordSetup::~RecordSetup() {
    delete form_view_; // before the model that it looks at
}

QWidget* RecordSetup::leftColumn() {
    left_ = new QWidget(this);
    auto* const column = new QVBoxLayout(left_);
    const int gap = fontMetrics().height() * 2 / 3;
    addThermometer(*column);
    column->addSpacing(gap);
    addRun(*column);
    column->addSpacing(gap);
    addPractice(*column);
    column->addStretch(1);
    return left_;
}

void RecordSetup::addThermometer(QVBoxLayout& column) {
    column.addWidget(heading(tr("The thermometer"), left_));
    ports_ = new QComboBox(left_);
    ports_->setObjectName(u"recordPorts"_s);
    ports_->setAccessibleName(tr("Serial port of the thermometer"));
    ports_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    ports_->setEditable(true);
    ports_->setInsertPolicy(QComboBox::NoInsert);
    ports_->lineEdit()->setPlaceholderText(tr("a port, or the path of one"));
    column.addWidget(ports_);
    auto* const buttons = new QHBoxLayout;
    connect_ = new QPushButton(left_);
    connect_->setObjectName(u"recordConnect"_s);
    auto* const again = new QPushButton(tr("&Look again"), left_);
    again->setObjectName(u"recordLookAgain"_s);
    buttons->addWidget(connect_);
    buttons->addWidget(again);
    buttons->addStretch(1);
    column.addLayout(buttons);
    trouble_ = words({}, u"recordTrouble"_s, left_);
    found_ = words({}, u"recordFound"_s, left_);
    readings_ = words({}, u"recordSetupReadings"_s, left_);
    bench_ = new BenchSetup(left_);
    column.addWidget(trouble_);
    column.addWidget(found_);
    column.addWidget(readings_);
    column.addWidget(bench_);
    connect(connect_, &QPushButton::clicked, this,
            [this] { is_connected_ ? Q_EMIT letGoWanted() : Q_EMIT connectWanted(); });
    connect(again, &QPushButton::clicked, this, &RecordSetup::lookForPorts);
    connect(ports_, &QComboBox::editTextChanged, this, &RecordSetup::showButtons);
    connect(ports_->lineEdit(), &QLineEdit::returnPressed, connect_, &QPushButton::click);
}

void RecordSetup::addRun(QVBoxLayout& column) {
    column.addWidget(heading(tr("The run"), left_));
    auto* const form = new QFormLayout;
    name_ = new QLineEdit(left_);
    name_->setObjectName(u"recordName"_s);
    name_->setPlaceholderText(tr("date and time"));
    form->addRow(tr("&Name"), name_);
    limit_ = new QDoubleSpinBox(left_);
    limit_->setObjectName(u"recordLimit"_s);
    limit_->setRange(30.0, 400.0);
    limit_->setDecimals(0);
    limit_->setSuffix(tr(" °C"));
    limit_->setValue(WatchState().limit_c);
    form->addRow(tr("&Warn before"), limit_);
    column.addLayout(form);
    record_ = new QPushButton(tr("Record (R)"), left_);
    record_->setObjectName(u"recordStart"_s);
    QFont strong = record_->font();
    strong.setBold(true);
    record_->setFont(strong);
    record_->setMinimumHeight(fontMetrics().height() * 2);
    column.addWidget(record_);
    column.addWidget(words(tr("Potwatch is no safety device: stay at the pot. Its warning can come too late or not at "
                              "all. Work in a fume hood with gloves and a shield, on small batches, with the means "
                              "to quench at hand."),
                           u"recordCautions"_s, left_));
    auto* const sound = new QPushButton(tr("Test the warning &sound"), left_);
    sound->setObjectName(u"recordTestSound"_s);
    column.addWidget(sound);
    if (!AlarmSound::hasOutput()) {
        column.addWidget(words(tr("This computer has no sound output: a warning can only be seen, and beep where the "
                                  "desktop does."),
                               u"recordNoSound"_s, left_));
    }
    connect(record_, &QPushButton::clicked, this, &RecordSetup::recordWanted);
    connect(sound, &QPushButton::clicked, this, &RecordSetup::soundWanted);
}

void RecordSetup::addPractice(QVBoxLayout& column) {
    column.addWidget(heading(tr("Without a thermometer"), left_));
    auto* const row = new QHBoxLayout;
    auto* const practise = new QPushButton(tr("&Practise with a pretend pot"), left_);
    practise->setObjectName(u"recordPractise"_s);
    auto* const fast = new QPushButton(tr("The same &ten times as fast"), left_);
    fast->setObjectName(u"recordPractiseFast"_s);
    row->addWidget(practise, 1);
    row->addWidget(fast, 1);
    column.addLayout(row);
    connect(practise, &QPushButton::clicked, this, [this] { Q_EMIT practiceWanted(1.0); });
    connect(fast, &QPushButton::clicked, this, [this] { Q_EMIT practiceWanted(10.0); });
}

void RecordSetup::restore(const Settings& settings) {
    bench_->restore(settings);
    ports_->setEditText(settings.text(u"record/port"_s));
    bool is_number = false;
    if (const double limit_c = settings.text(u"record/limit_c"_s).toDouble(&is_number); is_number) {
        limit_->setValue(limit_c);
    }
}

void RecordSetup::save(Settings& settings) const {
    bench_->save(settings);
    settings.setText(u"record/port"_s, port());
    settings.setText(u"record/limit_c"_s, QString::number(limit_->value()));
}

void RecordSetup::setPrevious(const std::optional<Batch>& batch, const std::string& name) {
    previous_ = batch;
    previous_name_ = name;
    if (previous_ && previous_->dose) {
        previous_->dose->steps.clear();
    }
    showForm();
}

void RecordSetup::setChannels(const std::vector<session::LiveChannel>& channels) {
    const auto namesake = [](const session::LiveChannel& a, const session::LiveChannel& b) { return a.name == b.name; };
    if (!std::equal(channels.begin(), channels.end(), channels_.begin(), channels_.end(), namesake)) {
        channels_ = channels;
        showForm();
        leaveOutMissing();
    }
}

// What "same as last run" or a batch file brought along from another device.
void RecordSetup::leaveOutMissing() {
    Batch batch = form_.batch();
    const std::string words = session::takeOutMissingChannels(batch, channels_);
    if (!words.empty()) {
        form_.setBatch(batch);
        setTrouble(QString::fromStdString(words));
        Q_EMIT batchEdited(batch);
    }
}

void RecordSetup::showForm() {
    auto run = std::make_shared<session::RunView>();
    run->id = "to be recorded";
    run->notes.batch = form_.batch(); // what was typed stays
    for (const session::LiveChannel& channel : channels_) {
        run->channels.push_back(channel.name);
    }
    run->previous = previous_;
    run->previous_name = previous_name_;
    form_.setRun(std::move(run));
}

void RecordSetup::forgetRun() {
    name_->clear();
    setBatch({});
}

void RecordSetup::setBatch(const Batch& batch) {
    form_.setBatch(batch);
    undo_.clear();
}

void RecordSetup::lookForPorts() {
    setTrouble({});
    ports_trouble_.clear();
    errands_.run([] { return serial::listPorts(); },
                 [this](const Result<std::vector<serial::PortInfo>>& ports) { showPorts(ports); });
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
    }
    if (const int place = ports_->findData(before); place >= 0 || before.isEmpty()) {
        ports_->setCurrentIndex(std::min(std::max(0, place), ports_->count() - 1));
    } else {
        ports_->setEditText(before); // typed, or away for now
    }
    if (trouble_->text() == ports_trouble_) { // what else was said meanwhile stays
        setTrouble(trouble);
        ports_trouble_ = trouble;
    }
    showButtons();
}

QString RecordSetup::port() const {
    const QString typed = ports_->currentText();
    const int place = ports_->findText(typed);
    return place >= 0 ? ports_->itemData(place).toString() : typed.trimmed();
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

void RecordSetup::setDevice(bool connected, bool ready) {
    is_connected_ = connected;
    is_ready_ = ready;
    showButtons();
    if (!connected) {
        setFound({});
        setReadings({});
    }
}

void RecordSetup::showButtons() {
    connect_->setText(is_connected_ ? tr("Let &go") : tr("&Connect"));
    connect_->setEnabled(is_connected_ || !port().isEmpty());
    ports_->setEnabled(!is_connected_);
    record_->setEnabled(is_ready_);
    record_->setToolTip(is_ready_ ? tr("Record (R)") : tr("Connect a thermometer first"));
}

session::RunWanted RecordSetup::wanted() const {
    session::RunWanted wanted;
    wanted.name = name_->text().trimmed().toStdString();
    wanted.batch = form_.batch();
    wanted.watch.limit_c = limit_->value();
    wanted.warning_command = bench_->warningCommand();
    return wanted;
}

} // namespace potwatch::window
