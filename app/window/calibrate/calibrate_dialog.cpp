// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/window/calibrate/calibrate_dialog.h"

#include "app/format/number.h"
#include "app/session/recording.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QHBoxLayout>
#include <QHeaderView>
#include <QLabel>
#include <QLineEdit>
#include <QPlainTextEdit>
#include <QPushButton>
#include <QTableWidget>
#include <QVBoxLayout>

#include <algorithm>
#include <utility>

namespace potwatch::window {

using namespace Qt::StringLiterals;
using session::CalibrationKind;
using session::KnownProbe;

namespace {

QString howTo(CalibrationKind kind) {
    switch (kind) {
    case CalibrationKind::ice:
        return CalibrateDialog::tr("Fill a glass with crushed ice of tap water and just enough water to fill the gaps. "
                                   "Hang the probes in the middle, off the glass, and stir. Record three minutes of it "
                                   "and choose that run here; the steady part is found by itself.");
    case CalibrationKind::boiling:
        return CalibrateDialog::tr("Hang the probes in water that boils steadily, off the bottom and the wall. Record "
                                   "three minutes of it and choose that run here. Water boils by the air's pressure at "
                                   "your height on that day; a weather report's is reduced to sea level: take 1.2 kPa "
                                   "off it for each 100 m that you are up.");
    case CalibrationKind::lag:
        break;
    }
    return CalibrateDialog::tr(
        "Record with the probe in hot water until it is steady, put it into stirred ice water in "
        "one movement, and leave it there for a minute. Choose that run here: how fast the "
        "reading follows is the probe's lag.");
}

QTableWidgetItem* cell(const std::string& words) {
    auto* const item = new QTableWidgetItem(QString::fromStdString(words));
    item->setFlags(Qt::ItemIsSelectable | Qt::ItemIsEnabled);
    return item;
}

QString anyDevice() {
    return CalibrateDialog::tr("any device");
}

} // namespace

CalibrateDialog::CalibrateDialog(QString folder, ChosenBook book, QWidget* parent)
    : QDialog(parent)
    , folder_(std::move(folder))
    , book_(std::move(book)) {
    setObjectName(u"calibrateDialog"_s);
    setWindowTitle(tr("Calibrate probes"));
    const int line = fontMetrics().height();
    auto* const column = new QVBoxLayout(this);
    column->setContentsMargins(line, line, line, line * 3 / 4);
    column->setSpacing(line);
    auto* const middle = new QHBoxLayout;
    middle->setSpacing(line * 3 / 2);
    middle->addWidget(buildMeasuring(), 3);
    middle->addWidget(buildKnown(), 5);
    column->addLayout(middle, 1);
    auto* const buttons = new QDialogButtonBox(QDialogButtonBox::Close, this);
    buttons->button(QDialogButtonBox::Close)->setIcon({});
    column->addWidget(buttons);
    resize(line * 82, line * 32);

    connect(buttons, &QDialogButtonBox::rejected, this, &QDialog::reject);
    connect(kind_, &QComboBox::currentIndexChanged, this, &CalibrateDialog::measure);
    connect(run_, &QComboBox::currentIndexChanged, this, [this] {
        chooseDevice();
        measure();
    });
    connect(pressure_, &QLineEdit::editingFinished, this, &CalibrateDialog::measure);
    connect(keep_, &QPushButton::clicked, this, &CalibrateDialog::keep);
    connect(forget_, &QPushButton::clicked, this, &CalibrateDialog::forget);
    connect(table_, &QTableWidget::currentCellChanged, this, &CalibrateDialog::showRemark);
    measure();
    errands_.run([folder = folder_.toStdString()] { return session::readCalibrations(folder); },
                 [this](const Known& known) { showKnown(known); });
    errands_.run([] { return serial::listPorts(); },
                 [this](const Result<std::vector<serial::PortInfo>>& ports) {
                     ports_ = ports.value_or(std::vector<serial::PortInfo>());
                     fillDevices();
                     chooseDevice();
                 });
}

void CalibrateDialog::setBook(ChosenBook book) {
    book_ = std::move(book);
    if (refill(*run_, book_)) {
        chooseDevice();
        measure();
    }
}

QWidget* CalibrateDialog::buildMeasuring() {
    auto* const side = new QWidget(this);
    auto* const column = new QVBoxLayout(side);
    column->setContentsMargins(0, 0, 0, 0);
    auto* const form = new QFormLayout;
    form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
    kind_ = new QComboBox(side);
    kind_->setObjectName(u"calibrateKind"_s);
    kind_->addItem(tr("in melting ice (0 °C)"), static_cast<int>(CalibrationKind::ice));
    kind_->addItem(tr("in boiling water"), static_cast<int>(CalibrationKind::boiling));
    kind_->addItem(tr("put from hot into ice water (lag)"), static_cast<int>(CalibrationKind::lag));
    addLabelled(*form, tr("The probes &were"), kind_);
    how_ = quietText(u"calibrateHow"_s, side);
    how_->setMinimumHeight(5 * fontMetrics().lineSpacing());
    form->addRow(how_);
    run_ = runChoice(book_, u"calibrateRun"_s, side);
    addLabelled(*form, tr("&Run"), run_);
    pressure_ = addNumberField(*form, tr("&Air pressure, kPa"), u"calibratePressure"_s, side);
    pressure_label_ = qobject_cast<QLabel*>(form->labelForField(pressure_));
    device_ = new QComboBox(side);
    device_->setObjectName(u"calibrateDevice"_s);
    device_->setSizeAdjustPolicy(QComboBox::AdjustToMinimumContentsLengthWithIcon);
    device_->setMinimumContentsLength(24);
    device_->setToolTip(tr("What is kept for a device is applied to that one; what is kept for any, to every device "
                           "that has a channel of this name and nothing of its own."));
    addLabelled(*form, tr("&Keep it for"), device_);
    fillDevices();
    column->addLayout(form);
    result_ = new QPlainTextEdit(side);
    result_->setObjectName(u"calibrateResult"_s);
    result_->setAccessibleName(tr("What was found"));
    result_->setReadOnly(true);
    result_->setTabChangesFocus(true);
    column->addWidget(result_, 1);
    auto* const foot = new QHBoxLayout;
    keep_ = new QPushButton(tr("Kee&p it"), side);
    keep_->setObjectName(u"calibrateKeep"_s);
    keep_->setDefault(true);
    said_ = wrappedText(u"calibrateSaid"_s, side);
    said_->setMinimumHeight(2 * fontMetrics().lineSpacing());
    foot->addWidget(keep_, 0, Qt::AlignTop);
    foot->addWidget(said_, 1);
    column->addLayout(foot);
    return side;
}

QWidget* CalibrateDialog::buildKnown() {
    auto* const side = new QWidget(this);
    auto* const column = new QVBoxLayout(side);
    column->setContentsMargins(0, 0, 0, 0);
    auto* const head = new QLabel(tr("What is k&nown"), side);
    column->addWidget(head);
    table_ = new QTableWidget(0, 5, side);
    table_->setObjectName(u"calibrateKnown"_s);
    table_->setAccessibleName(tr("What is known of the probes"));
    table_->setHorizontalHeaderLabels({tr("Channel"), tr("Device"), tr("In ice"), tr("In boiling water"), tr("Lag")});
    table_->horizontalHeader()->setDefaultAlignment(Qt::AlignLeft | Qt::AlignVCenter);
    table_->horizontalHeader()->setStretchLastSection(true);
    table_->verticalHeader()->hide();
    table_->setSelectionBehavior(QAbstractItemView::SelectRows);
    table_->setSelectionMode(QAbstractItemView::SingleSelection);
    table_->setTabKeyNavigation(false);
    head->setBuddy(table_);
    column->addWidget(table_, 1);
    remark_ = wrappedText(u"calibrateRemark"_s, side);
    remark_->setMinimumHeight(4 * fontMetrics().lineSpacing());
    forget_ = new QPushButton(tr("&Forget it"), side);
    forget_->setObjectName(u"calibrateForget"_s);
    forget_->setAutoDefault(false);
    forget_->setEnabled(false);
    forget_->setToolTip(tr("Runs that were recorded with it keep their copy."));
    auto* const foot = new QHBoxLayout;
    foot->addWidget(remark_, 1);
    foot->addWidget(forget_, 0, Qt::AlignTop);
    column->addLayout(foot);
    return side;
}

CalibrationKind CalibrateDialog::kind() const {
    return static_cast<CalibrationKind>(kind_->currentData().toInt());
}

// Any, those that are plugged in, those that something is known of.
void CalibrateDialog::fillDevices() {
    const QString before = device_->currentData().toString();
    device_->clear();
    device_->addItem(anyDevice(), QString());
    for (const serial::PortInfo& port : ports_) {
        const QString device = QString::fromStdString(session::deviceOf(port));
        if (!device.isEmpty() && device_->findData(device) < 0) {
            const QString product = QString::fromStdString(port.product);
            device_->addItem(product.isEmpty() ? device : product + u" ("_s + device + u')', device);
        }
    }
    for (const KnownProbe& known : known_) {
        if (const QString device = QString::fromStdString(known.device); device_->findData(device) < 0) {
            device_->addItem(device, device);
        }
    }
    device_->setCurrentIndex(std::max(0, device_->findData(before)));
}

// The device that the run came from, where it is plugged in.
void CalibrateDialog::chooseDevice() {
    const session::ListedRun* const run = chosenRun(book_, *run_);
    for (const serial::PortInfo& port : ports_) {
        const std::string device = session::deviceOf(port);
        if (run != nullptr && !device.empty() &&
            (run->row.source_file == port.path || run->row.source_file == port.by_id)) {
            device_->setCurrentIndex(device_->findData(QString::fromStdString(device)));
        }
    }
}

void CalibrateDialog::measure() {
    const CalibrationKind kind = this->kind();
    how_->setText(howTo(kind));
    pressure_->setVisible(kind == CalibrationKind::boiling);
    pressure_label_->setVisible(kind == CalibrationKind::boiling);
    const std::uint64_t ticket = ++ticket_;
    measured_.clear();
    keep_->setEnabled(false);
    said_->clear();
    const session::ListedRun* const run = chosenRun(book_, *run_);
    if (run == nullptr) {
        result_->setPlainText(tr("There is no run in the book yet: record one first (Record page)."));
        return;
    }
    const std::optional<double>& of_run = run->row.notes.batch.surroundings.pressure_kpa;
    pressure_->setPlaceholderText(
        of_run ? tr("%1, as the run states").arg(QString::fromStdString(format::numberText(*of_run))) : QString());
    const Result<std::optional<double>> pressure_kpa = numberIn(*pressure_, "kPa");
    if (!pressure_kpa && kind == CalibrationKind::boiling) {
        result_->setPlainText(faultsInWords({pressure_kpa.error()}));
        return;
    }
    if (kind == CalibrationKind::boiling && !*pressure_kpa && !of_run) {
        result_->setPlainText(
            tr("The air's pressure is not stated: type that of the day at your height, near 101 kPa at "
               "the sea and 1.2 less for each 100 m up."));
        return;
    }
    result_->setPlainText(tr("Looking for it ..."));
    const session::CalibrationWanted wanted{.kind = kind,
                                            .device = {},
                                            .pressure_kpa = pressure_kpa.value_or(std::nullopt),
                                            .now = session::systemClock().wall()};
    errands_.run(
        [from = oneRun(book_, *run_), wanted] {
            Measured measured;
            const tl::expected<session::OpenedRun, session::Faults> opened = session::openOneRun(from, true);
            if (!opened) {
                measured.of.faults = opened.error();
                return measured;
            }
            measured.of = session::measureProbes(opened->run, session::temperatureChannels(opened->run), wanted);
            measured.warnings = opened->warnings;
            return measured;
        },
        [this, ticket, kind](Measured measured) {
            if (ticket == ticket_) {
                showMeasured(std::move(measured), kind);
            }
        });
}

void CalibrateDialog::showMeasured(Measured measured, CalibrationKind kind) {
    QStringList lines;
    for (const session::ProbeMeasured& one : measured.of.probes) {
        lines += QString::fromStdString(session::measuredText(one, kind));
    }
    for (Fault& fault : measured.of.faults) {
        if (!fault.where.channel.empty()) {
            fault.where.file.clear(); // the run was chosen above; the channel is what counts
        }
        lines += faultsInWords({fault});
    }
    for (const std::string& warning : measured.warnings) {
        lines += tr("Note: %1").arg(QString::fromStdString(warning));
    }
    result_->setPlainText(lines.join(u"\n\n"_s));
    measured_ = std::move(measured.of.probes);
    keep_->setEnabled(!measured_.empty());
}

void CalibrateDialog::keep() {
    for (session::ProbeMeasured& one : measured_) {
        one.known.device = device_->currentData().toString().toStdString();
    }
    change(
        [measured = measured_](std::vector<KnownProbe>& known) {
            for (const session::ProbeMeasured& one : measured) {
                session::keep(known, one.known);
            }
        },
        tr("Kept. What is recorded from now on is corrected by it."));
}

void CalibrateDialog::forget() {
    const int row = table_->currentRow();
    if (row < 0) {
        return;
    }
    change(
        [gone = known_[static_cast<std::size_t>(row)]](std::vector<KnownProbe>& known) {
            std::erase_if(known, [&](const KnownProbe& one) {
                return one.device == gone.device && one.probe.channel == gone.probe.channel;
            });
        },
        tr("Forgotten. Runs that were recorded with it keep their copy."));
}

void CalibrateDialog::change(session::CalibrationChange change, const QString& done) {
    errands_.run([folder = folder_.toStdString(),
                  change = std::move(change)] { return session::changeCalibrations(folder, change); },
                 [this, done](const Known& known) {
                     said_->setText(known ? done : faultsInWords(known.error()));
                     if (known) {
                         showKnown(known);
                     }
                 });
}

void CalibrateDialog::showKnown(const Known& known) {
    if (!known) {
        said_->setText(faultsInWords(known.error()));
        return;
    }
    known_ = *known;
    const WallTime now = session::systemClock().wall();
    const int before = table_->currentRow();
    table_->setRowCount(static_cast<int>(known_.size()));
    for (int row = 0; row < table_->rowCount(); ++row) {
        const KnownProbe& one = known_[static_cast<std::size_t>(row)];
        const session::KnownInWords words = session::inWords(one, now);
        table_->setItem(row, 0, cell(one.probe.channel));
        table_->setItem(row, 1, one.device.empty() ? cell(anyDevice().toStdString()) : cell(one.device));
        table_->setItem(row, 2, cell(words.in_ice));
        table_->setItem(row, 3, cell(words.in_boiling_water));
        table_->setItem(row, 4, cell(words.lag));
    }
    table_->resizeColumnsToContents();
    const int last = table_->columnCount() - 1; // which takes what is left
    for (int column = 0; column < last; ++column) {
        table_->setColumnWidth(column, table_->columnWidth(column) + fontMetrics().height());
    }
    if (table_->rowCount() > 0) {
        table_->setCurrentCell(std::clamp(before, 0, table_->rowCount() - 1), 0);
    }
    fillDevices();
    showRemark();
}

void CalibrateDialog::showRemark() {
    const int row = table_->currentRow();
    const bool is_there = row >= 0 && row < static_cast<int>(known_.size());
    forget_->setEnabled(is_there);
    remark_->setText(is_there ? QString::fromStdString(session::calibrationText(
                                    known_[static_cast<std::size_t>(row)].probe, session::systemClock().wall()))
                              : tr("No probe was calibrated yet."));
}

} // namespace potwatch::window
