// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/watch/watch.h"

#include "analysis/chemistry/water.h"
#include "analysis/watch/gathered.h"
#include "analysis/watch/latch.h"
#include "analysis/watch/live_balance.h"
#include "analysis/watch/live_dose.h"
#include "analysis/watch/live_trend.h"
#include "analysis/watch/sensor_watch.h"
#include "analysis/watch/useful_stop.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string_view>
#include <utility>

namespace potwatch::watch {

namespace {

// Where nothing is stated. Common practice, no source.
constexpr double usual_limit_c = 95.0;
constexpr double usual_pressure_kpa = 101.325;
constexpr double under_boiling_k = 5.0;

constexpr double near_s = 90.0;
constexpr double no_longer_near_s = 120.0;
constexpr double least_rise_k_per_s = 0.5 / 60.0; // slower is no trend towards a limit
constexpr double significant = 2.0;               // standard uncertainties
constexpr double sure = 3.0;                      // the same, where it is asked four times a second for hours
constexpr double limit_margin_k = 2.0;
constexpr double rate_margin = 0.8;

constexpr double much_share = 0.5; // more dosed than reacted, of the whole
constexpr double little_share = 0.35;
constexpr double hardly_warmed_k = 5.0;

constexpr double usual_cooling_s = 500.0; // time constant of a pot whose loss is not stated
constexpr double stays_under_margin_k = 3.0;
constexpr double falls_k_per_s = 0.3 / 60.0;
constexpr double least_heating_k_per_s = 0.8 / 60.0; // of a cure that may just begin

constexpr double bound_share = 0.8; // of the earliest time that the trend allows

constexpr double quiet_s = 10.0; // before a warning is taken back
constexpr double near_on_s = 3.0;
constexpr double accumulation_on_s = 3.0;

constexpr double stopped_intervals = 5.0;
constexpr double stopped_s = 5.0;
constexpr double unknown_interval_s = 60.0; // allowed a device whose usual interval is not known yet

constexpr double stop_every_s = 5.0; // between two looks for the latest useful stop

// What of a figure stands out from its noise, nearer to zero by as much as the noise could make of it.
double surely(double value, double u) {
    return std::copysign(std::max(0.0, std::abs(value) - sure * u), value);
}

// Seconds in which that slope covers that rise, with as much of the bend as is sure; empty where it slows down so much
// that it never does.
std::optional<double> secondsFor(double rise_k, double slope_per_s, const Trend& trend) {
    const double bend = surely(trend.bend_per_s2, trend.bend_u_per_s2);
    const double inside = slope_per_s * slope_per_s + 2.0 * bend * rise_k;
    if (slope_per_s <= 0.0 || inside < 0.0) {
        return std::nullopt;
    }
    return 2.0 * rise_k / (slope_per_s + std::sqrt(inside)); // the nearer root, without cancellation
}

// Seconds before which that rise is not made: the rate grows as it does now and, beyond that, as a reaction's does with
// the temperature: d ln(rate)/dt = growth + beta rate, taken at the most that the noise allows.
double notBefore(double rise_k, double temperature_c, const Trend& trend) {
    const double rate = trend.slope_per_s + trend.slope_u_per_s;
    const double beta = fastestGrowthPerK(temperature_c, temperature_c + rise_k);
    const double bend = trend.curvature_per_s2 + trend.curvature_u_per_s2;
    const double growth = std::max(0.0, bend / rate - beta * rate);
    const double by_warmth_s = -std::expm1(-beta * rise_k) / (beta * rate);
    return bound_share * (growth > 0.0 ? std::log1p(growth * by_warmth_s) / growth : by_warmth_s);
}

} // namespace

struct Watch::Parts {
    struct Channel {
        LiveTrend trend;
        SensorWatch sensor;
    };

    Plan plan;
    Batch batch;
    std::vector<Event> events;
    std::vector<Channel> channels;
    std::optional<std::size_t> air;
    LiveBalance balance;
    WatchState state;
    std::optional<double> trend_to_limit_s;  // at the present trend
    std::optional<double> surely_to_limit_s; // at the least trend that its noise allows

    Latch limit_reached{0.0, quiet_s};
    Latch limit_near{near_on_s, quiet_s};
    Latch rising_fast{2.0, quiet_s};
    Latch self_heating{10.0, quiet_s};
    Latch accumulation{accumulation_on_s, quiet_s};
    Latch slow_to_start{accumulation_on_s, quiet_s};

    std::optional<double> first_scan_s;
    std::optional<double> last_scan_s;
    std::optional<double> stop_looked_s;

    void readBatch();
    [[nodiscard]] bool blind() const; // nothing is known of the pot's temperature now
    void trend();
    void judgePot();
    void judgeDose();
    [[nodiscard]] bool happened(std::string_view kind) const; // an event of that kind, by now
    [[nodiscard]] bool contentsChanged() const;
    [[nodiscard]] bool heatedUnmeasured() const;
    [[nodiscard]] bool gatheredCouldPass() const;
    [[nodiscard]] bool couldReach(double goal_c, const std::optional<double>& mtsr_c) const;
    void dose();
    void usefulStop();
    void judge();
    std::vector<AlarmChange> changes();

    std::vector<Alarm> standing; // of the latches and sensors, as judged last
    bool stopped = false;        // no scan comes any more
};

void Watch::Parts::readBatch() {
    const auto water_c =
        chemistry::saturationTemperatureC(batch.surroundings.pressure_kpa.value_or(usual_pressure_kpa));
    state.boiling_c = batch.charge.boiling_c ? batch.charge.boiling_c
                      : water_c              ? std::optional(*water_c)
                                             : std::nullopt;
    state.limit_c = plan.limit_c.value_or(
        std::min(usual_limit_c, state.boiling_c ? std::round(*state.boiling_c - under_boiling_k) : usual_limit_c));
    state.rate_limit_k_per_min = plan.rate_limit_k_per_min;
    air.reset();
    const auto named = std::find(plan.channels.begin(), plan.channels.end(), batch.surroundings.channel);
    if (!batch.surroundings.channel.empty() && named != plan.channels.end()) {
        air = static_cast<std::size_t>(named - plan.channels.begin());
    }
}

bool Watch::Parts::blind() const {
    const SensorWatch& sensor = channels.at(plan.pot).sensor;
    const bool never = sensor.silent() && first_scan_s && state.time_s - *first_scan_s >= stopped_s;
    return stopped || sensor.open() || never;
}

void Watch::Parts::trend() {
    const std::optional<Trend>& pot = channels.at(plan.pot).trend.trend();
    if (!pot || blind()) {
        state.temperature_c.reset();
        state.rate_k_per_min.reset();
        state.rate_u_k_per_min.reset();
        state.seconds_to_limit.reset();
        trend_to_limit_s.reset();
        surely_to_limit_s.reset();
        return;
    }
    constexpr double s_per_min = 60.0;
    double lag_s = batch.sensor_lag_s.value_or(0.0);
    for (const Probe& probe : batch.probes) {
        if (probe.channel == plan.channels.at(plan.pot) && probe.lag_s) {
            lag_s = *probe.lag_s;
        }
    }
    const double temperature_c = pot->value + lag_s * pot->slope_per_s;
    state.temperature_c = temperature_c;
    state.rate_k_per_min = pot->slope_per_s * s_per_min;
    state.rate_u_k_per_min = pot->slope_u_per_s * s_per_min;
    state.seconds_to_limit.reset();
    trend_to_limit_s.reset();
    surely_to_limit_s.reset();
    if (temperature_c >= state.limit_c) {
        state.seconds_to_limit = 0.0;
        trend_to_limit_s = 0.0;
        surely_to_limit_s = 0.0;
    } else if (pot->slope_per_s > std::max(least_rise_k_per_s, significant * pot->slope_u_per_s)) {
        const double rise_k = state.limit_c - temperature_c;
        trend_to_limit_s = secondsFor(rise_k, pot->slope_per_s, *pot);
        if (trend_to_limit_s) {
            state.seconds_to_limit = notBefore(rise_k, temperature_c, *pot);
        }
        surely_to_limit_s = secondsFor(rise_k, surely(pot->slope_per_s, pot->slope_doubt_per_s), *pot);
    }
    const std::optional<Trend> surroundings = air ? channels.at(*air).trend.trend() : std::nullopt;
    balance.add(pot->time_s, temperature_c, surroundings ? std::optional(surroundings->value) : std::nullopt, batch);
}

void Watch::Parts::dose() {
    const LiveDose live = liveDose(batch.dose, events, state.time_s);
    state.dose_phase = live.phase;
    state.dosed_g = live.dosed_g;
    state.dosed_share = live.share;
    balance.setDosing(live.phase);
    state.reacted_share_high = balance.reactedShareHigh(batch, live);
    state.unreacted_share_low = balance.unreactedShareLow(batch, live);
    state.mtsr_c.reset();
    state.mtsr_high_c.reset();
    if (!contentsChanged() && !batch.blank) {
        state.mtsr_c = balance.mtsrLowC(batch, live);
        state.mtsr_high_c = heatedUnmeasured() ? std::nullopt : balance.mtsrHighC(batch, live);
    }
}

void Watch::Parts::usefulStop() {
    const LiveDose live = liveDose(batch.dose, events, state.time_s);
    if (!plan.kinetics || live.phase != DosePhase::during || !live.rate_g_per_s || !live.dosed_g ||
        !state.temperature_c || !state.reacted_share_high || !batch.vessel.loss_coefficient_w_per_k) {
        state.latest_useful_stop_s.reset();
        state.stop_no_longer_helps = false;
        stop_looked_s.reset();
        return;
    }
    if (stop_looked_s && state.time_s - *stop_looked_s < stop_every_s) {
        return;
    }
    stop_looked_s = state.time_s;
    const std::optional<UsefulStop> stop =
        latestUsefulStop(batch, *plan.kinetics,
                         {.now_s = state.time_s,
                          .temperature_c = *state.temperature_c,
                          .surroundings_c = balance.surroundingsC(),
                          .degree = *state.reacted_share_high, // with the loss stated it is no bound but the share
                          .dosed_g = *live.dosed_g,
                          .rate_g_per_s = *live.rate_g_per_s,
                          .total_g = batch.dose->total_g,
                          .limit_c = state.limit_c});
    state.latest_useful_stop_s = stop ? stop->latest_s : std::nullopt;
    state.stop_no_longer_helps = stop && stop->too_late;
}

// Whether what is in the pot could take it to a temperature, from the rate at which it warms now, with so much left to
// react and a usual loss where none is stated. True where nothing is known of it.
bool Watch::Parts::couldReach(double goal_c, const std::optional<double>& mtsr_c) const {
    const std::optional<Trend>& pot = channels.at(plan.pot).trend.trend();
    if (!pot || !state.temperature_c || !mtsr_c) {
        return true;
    }
    const double heat_j_per_k = balance.heatCapacityJPerK(batch, liveDose(batch.dose, events, state.time_s));
    const double loss_per_s = batch.vessel.loss_coefficient_w_per_k
                                  ? *batch.vessel.loss_coefficient_w_per_k / heat_j_per_k
                                  : 1.0 / usual_cooling_s;
    const double above_k = std::max(0.0, *state.temperature_c - balance.surroundingsC());
    const double warms_per_s = std::max(least_heating_k_per_s, pot->slope_per_s + pot->slope_u_per_s);
    return watch::couldReach({.temperature_c = *state.temperature_c,
                              .surroundings_c = balance.surroundingsC(),
                              .heating_k_per_s = warms_per_s + loss_per_s * above_k,
                              .loss_per_s = loss_per_s,
                              .rise_left_k = *mtsr_c - *state.temperature_c},
                             goal_c);
}

// Whether what has gathered, at the least that it is, could take the pot over the limit.
bool Watch::Parts::gatheredCouldPass() const {
    const std::optional<Trend>& pot = channels.at(plan.pot).trend.trend();
    const bool falls = pot && pot->slope_per_s < -std::max(falls_k_per_s, sure * pot->slope_u_per_s);
    return !falls && couldReach(state.limit_c, state.mtsr_c);
}

void Watch::Parts::judgePot() {
    const double now_s = state.time_s;
    const std::optional<Trend>& pot = channels.at(plan.pot).trend.trend();
    const bool reacts = !batch.blank; // hot water only cools
    // While there is no trend, after a gap or a step, the bare reading must do.
    const double temperature_c = state.temperature_c.value_or(state.reading_c.value_or(state.limit_c - limit_margin_k));
    const double rate = state.rate_k_per_min.value_or(0.0);
    const double rate_u = state.rate_u_k_per_min.value_or(0.0);
    constexpr double never_s = std::numeric_limits<double>::infinity();

    limit_reached.update(now_s, reacts && temperature_c >= state.limit_c,
                         reacts && temperature_c > state.limit_c - limit_margin_k);
    const bool could_come_near = couldReach(state.limit_c - stays_under_margin_k, state.mtsr_high_c);
    limit_near.update(now_s, reacts && surely_to_limit_s.value_or(never_s) < near_s && could_come_near,
                      reacts && trend_to_limit_s.value_or(never_s) < no_longer_near_s);

    const double rate_limit = plan.rate_limit_k_per_min.value_or(std::numeric_limits<double>::infinity());
    rising_fast.update(now_s, reacts && rate - rate_u > rate_limit, reacts && rate > rate_margin * rate_limit);

    // Source: L. Hub, J. D. Jones, Plant/Oper. Prog. 5 (1986) 221 (the rule from memory).
    const std::optional<Trend> surroundings = air ? channels.at(*air).trend.trend() : std::nullopt;
    const double apart_per_s = pot ? pot->slope_per_s - (surroundings ? surroundings->slope_per_s : 0.0) : 0.0;
    const double apart_u = pot ? std::hypot(pot->slope_u_per_s, surroundings ? surroundings->slope_u_per_s : 0.0) : 0.0;
    const bool apart = pot && apart_per_s > std::max(least_rise_k_per_s, sure * apart_u);
    const bool bends = pot && pot->curvature_per_s2 > sure * pot->curvature_u_per_s2;
    self_heating.update(now_s, reacts && apart && bends,
                        reacts && pot && apart_per_s > 0.0 && pot->curvature_per_s2 > 0.0);
}

bool Watch::Parts::happened(std::string_view kind) const {
    return std::any_of(events.begin(), events.end(),
                       [&](const Event& event) { return event.time_s <= state.time_s && event.kind == kind; });
}

// What is in the pot is no longer what was dosed into it.
bool Watch::Parts::contentsChanged() const {
    return happened("pour") || happened("quench");
}

// Its warming proves nothing of the cure.
bool Watch::Parts::heatedUnmeasured() const {
    return happened("heat on") && !batch.heater.power_w;
}

void Watch::Parts::judgeDose() {
    const double now_s = state.time_s;
    const bool during = state.dose_phase == DosePhase::during;
    const bool counts = batch.dose && batch.dose->role != DoseRole::diluent && !contentsChanged();
    if (!during || !counts) {
        slow_to_start = Latch{accumulation_on_s, quiet_s}; // at once: it speaks of dosing alone
    }
    if (!counts || !(during || state.dose_phase == DosePhase::after)) {
        accumulation = Latch{accumulation_on_s, quiet_s};
        return;
    }
    const bool known = state.reacted_share_high && state.mtsr_c;
    const double ahead = known && state.dosed_share ? *state.dosed_share - *state.reacted_share_high : 0.0;
    const double remains = during ? ahead : state.unreacted_share_low.value_or(0.0);
    const bool much = ahead > much_share || remains > little_share;
    const bool could_pass = known && much && *state.mtsr_c > state.limit_c && gatheredCouldPass();
    accumulation.update(now_s, could_pass && ahead > much_share, could_pass && remains > little_share);
    if (!during) {
        return;
    }
    const bool most_is_in = !known && state.dosed_share.value_or(0.0) > much_share;
    const bool cold = balance.warmedK() && *balance.warmedK() < hardly_warmed_k;
    slow_to_start.update(now_s, most_is_in && cold, most_is_in && cold);
}

void Watch::Parts::judge() {
    if (!blind()) { // otherwise what stood goes on to stand
        judgePot();
        judgeDose();
    }
    const double now_s = state.time_s;
    standing.clear();
    const auto stand = [&](bool stands, AlarmKind kind, AlarmLevel level, std::string channel = {}) {
        if (stands) {
            standing.push_back({.kind = kind, .level = level, .since_s = now_s, .channel = std::move(channel)});
        }
    };
    stand(limit_reached.stands(), AlarmKind::limit_reached, AlarmLevel::warning);
    stand(limit_near.stands() && !limit_reached.stands(), AlarmKind::limit_near, AlarmLevel::warning);
    stand(rising_fast.stands(), AlarmKind::rising_fast, AlarmLevel::warning);
    stand(accumulation.stands(), AlarmKind::accumulation, AlarmLevel::warning);
    stand(slow_to_start.stands(), AlarmKind::slow_to_start, AlarmLevel::warning);
    stand(stopped, AlarmKind::readings_stopped, AlarmLevel::warning);
    for (std::size_t i = 0; i < channels.size(); ++i) {
        const bool is_pot = i == plan.pot;
        const SensorWatch& sensor = channels[i].sensor;
        const AlarmLevel level = is_pot ? AlarmLevel::warning : AlarmLevel::notice;
        stand((is_pot ? blind() : sensor.open()) && !stopped, AlarmKind::sensor_open, level, plan.channels[i]);
        stand(sensor.frozen(), AlarmKind::sensor_frozen, level, plan.channels[i]);
    }
    // At the limit the graver alarm says all; a pot that is kept about it would begin and end this one again and again.
    stand(self_heating.stands() && !limit_reached.stands(), AlarmKind::self_heating,
          limit_near.stands() ? AlarmLevel::warning : AlarmLevel::notice);
    std::stable_sort(standing.begin(), standing.end(),
                     [](const Alarm& a, const Alarm& b) { return a.level > b.level; });
}

std::vector<AlarmChange> Watch::Parts::changes() {
    std::vector<AlarmChange> changes;
    const auto same = [](const Alarm& a) {
        return [&a](const Alarm& b) { return a.kind == b.kind && a.channel == b.channel; };
    };
    for (Alarm& alarm : standing) {
        const auto before = std::find_if(state.alarms.begin(), state.alarms.end(), same(alarm));
        if (before == state.alarms.end()) {
            changes.push_back({.kind = AlarmChange::Kind::began, .alarm = alarm});
            continue;
        }
        alarm.since_s = before->since_s;
        if (alarm.level > before->level) {
            changes.push_back({.kind = AlarmChange::Kind::raised, .alarm = alarm});
        }
    }
    for (const Alarm& alarm : state.alarms) {
        if (std::none_of(standing.begin(), standing.end(), same(alarm))) {
            changes.push_back({.kind = AlarmChange::Kind::ended, .alarm = alarm});
        }
    }
    state.alarms = standing;
    return changes;
}

Watch::Watch(Plan plan)
    : parts_(std::make_unique<Parts>()) {
    parts_->channels.resize(plan.channels.size());
    parts_->plan = std::move(plan);
    parts_->readBatch();
}

Watch::~Watch() = default;
Watch::Watch(Watch&&) noexcept = default;
Watch& Watch::operator=(Watch&&) noexcept = default;

void Watch::setBatch(const Batch& batch) {
    parts_->batch = batch;
    parts_->readBatch();
}

void Watch::setEvents(std::span<const Event> events) {
    parts_->events.assign(events.begin(), events.end());
}

std::vector<AlarmChange> Watch::scan(double time_s, std::span<const double> values_c) {
    Parts& p = *parts_;
    if (p.last_scan_s && time_s <= *p.last_scan_s) {
        return {};
    }
    p.first_scan_s = p.first_scan_s.value_or(time_s);
    p.last_scan_s = time_s;
    p.stopped = false;
    p.state.time_s = time_s;
    bool fresh = false;
    for (std::size_t i = 0; i < p.channels.size() && i < values_c.size(); ++i) {
        Parts::Channel& channel = p.channels[i];
        const std::optional<Trend>& trend = channel.trend.trend();
        const bool moves = trend && std::abs(trend->slope_per_s) > significant * trend->slope_u_per_s;
        channel.sensor.add(time_s, values_c[i], moves ? std::optional(trend->slope_per_s) : std::nullopt);
        if (std::isfinite(values_c[i]) && channel.trend.add(time_s, values_c[i]) && i == p.plan.pot) {
            fresh = true;
        }
        if (i == p.plan.pot) {
            p.state.reading_c = std::isfinite(values_c[i]) ? std::optional(values_c[i]) : std::nullopt;
            p.state.start_c = p.state.start_c ? p.state.start_c : p.state.reading_c;
        }
    }
    if (fresh || p.blind()) {
        p.trend();
    }
    p.dose();
    p.usefulStop();
    p.judge();
    return p.changes();
}

std::vector<AlarmChange> Watch::tick(double now_s) {
    Parts& p = *parts_;
    if (!p.last_scan_s || now_s <= *p.last_scan_s || p.channels.empty()) {
        return {};
    }
    p.state.time_s = now_s;
    const std::optional<double> interval_s = p.channels.at(p.plan.pot).trend.intervalS();
    const double patience_s = interval_s ? std::max(stopped_s, stopped_intervals * *interval_s) : unknown_interval_s;
    p.stopped = now_s - *p.last_scan_s >= patience_s;
    if (p.stopped) {
        p.trend();
    }
    p.judge();
    return p.changes();
}

const WatchState& Watch::state() const {
    return parts_->state;
}

} // namespace potwatch::watch

namespace potwatch {

std::string_view nameOf(AlarmKind kind) {
    constexpr std::array<std::string_view, 9> names{"limit reached", "limit near",    "rising fast",
                                                    "self heating",  "accumulation",  "slow to start",
                                                    "sensor open",   "sensor frozen", "readings stopped"};
    return names.at(static_cast<std::size_t>(kind));
}

} // namespace potwatch
