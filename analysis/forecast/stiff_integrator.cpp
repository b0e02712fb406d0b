// SPDX-License-Identifier: GPL-3.0-or-later
#include "analysis/forecast/stiff_integrator.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <cvodes/cvodes.h>
#include <nvector/nvector_serial.h>
#include <sundials/sundials_config.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>
#include <type_traits>
#include <utility>

namespace potwatch::forecast {

namespace {

// A hundred times what a day in an oven takes: a system that needs more has gone astray.
constexpr long most_steps = 200000;

Fault gaveUp(double time_s) {
    return {.kind = FaultKind::notConverged,
            .what = fmt::format("the forecast could not be followed beyond {:.0f} s", time_s),
            .where = {},
            .remedy = "check the kinetics, the heat of reaction and the mould"};
}

template<class Handle, void (*destroy)(Handle)>
using Owned = std::unique_ptr<std::remove_pointer_t<Handle>, decltype([](Handle handle) { destroy(handle); })>;

void freeContext(SUNContext context) {
    SUNContext_Free(&context);
}
void freeSolver(SUNLinearSolver solver) {
    SUNLinSolFree(solver);
}
void freeMemory(void* memory) {
    CVodeFree(&memory);
}

SUNContext newContext() {
    SUNContext context = nullptr;
#if SUNDIALS_VERSION_MAJOR >= 7
    const bool made = SUNContext_Create(SUN_COMM_NULL, &context) == 0;
    if (made) {
        SUNContext_ClearErrHandlers(context); // faults are told as values
    }
#else
    const bool made = SUNContext_Create(nullptr, &context) == 0;
#endif
    return made ? context : nullptr;
}

} // namespace

struct StiffIntegrator::Parts {
    BandedSystem system;
    // In the order in which they are needed; taken down the other way round.
    Owned<SUNContext, freeContext> context;
    Owned<N_Vector, N_VDestroy> state;
    Owned<N_Vector, N_VDestroy> tolerance;
    Owned<SUNMatrix, SUNMatDestroy> matrix;
    Owned<SUNLinearSolver, freeSolver> solver;
    Owned<void*, freeMemory> memory;
    double reached_s = 0.0;

    static int derivatives(sunrealtype time_s, N_Vector state, N_Vector change, void* parts) {
        const auto& system = static_cast<Parts*>(parts)->system;
        const std::size_t count = system.start.size();
        system.derivatives(time_s, {N_VGetArrayPointer(state), count}, {N_VGetArrayPointer(change), count});
        return 0;
    }

    static N_Vector vectorOf(const std::vector<double>& values, SUNContext context) {
        N_Vector made = N_VNew_Serial(static_cast<sunindextype>(values.size()), context);
        if (made != nullptr) {
            std::copy(values.begin(), values.end(), N_VGetArrayPointer(made));
        }
        return made;
    }

    bool setUp() {
        context.reset(newContext());
        if (!context) {
            return false;
        }
        state.reset(vectorOf(system.start, context.get()));
        tolerance.reset(vectorOf(system.absolute_tolerance, context.get()));
        memory.reset(CVodeCreate(CV_BDF, context.get()));
        if (!state || !tolerance || !memory) {
            return false;
        }
        void* const cvode = memory.get();
#if SUNDIALS_VERSION_MAJOR < 7
        CVodeSetErrFile(cvode, nullptr);
#endif
        const auto count = static_cast<sunindextype>(system.start.size());
        if (CVodeInit(cvode, derivatives, 0.0, state.get()) != CV_SUCCESS ||
            CVodeSVtolerances(cvode, system.relative_tolerance, tolerance.get()) != CV_SUCCESS) {
            return false;
        }
        matrix.reset(SUNBandMatrix(count, system.half_band, system.half_band, context.get()));
        solver.reset(matrix ? SUNLinSol_Band(state.get(), matrix.get(), context.get()) : nullptr);
        return solver && CVodeSetLinearSolver(cvode, solver.get(), matrix.get()) == CV_SUCCESS &&
               CVodeSetUserData(cvode, this) == CV_SUCCESS && CVodeSetMaxNumSteps(cvode, most_steps) == CV_SUCCESS;
    }
};

StiffIntegrator::StiffIntegrator(std::unique_ptr<Parts> parts)
    : parts_(std::move(parts)) {}
StiffIntegrator::StiffIntegrator(StiffIntegrator&&) noexcept = default;
StiffIntegrator& StiffIntegrator::operator=(StiffIntegrator&&) noexcept = default;
StiffIntegrator::~StiffIntegrator() = default;

Result<StiffIntegrator> StiffIntegrator::of(BandedSystem system) {
    auto parts = std::make_unique<Parts>();
    parts->system = std::move(system);
    if (!parts->setUp()) {
        return tl::unexpected(gaveUp(0.0));
    }
    return StiffIntegrator(std::move(parts));
}

Result<void> StiffIntegrator::advance(double time_s, double kink_s) {
    Parts& parts = *parts_;
    while (parts.reached_s < time_s) {
        const bool stops = kink_s > parts.reached_s && kink_s <= time_s;
        const double target_s = stops ? kink_s : time_s;
        if (kink_s > parts.reached_s && CVodeSetStopTime(parts.memory.get(), kink_s) != CV_SUCCESS) {
            return tl::unexpected(gaveUp(parts.reached_s));
        }
        sunrealtype reached_s = parts.reached_s;
        if (CVode(parts.memory.get(), target_s, parts.state.get(), &reached_s, CV_NORMAL) < 0) {
            return tl::unexpected(gaveUp(reached_s));
        }
        parts.reached_s = std::max(reached_s, target_s);
    }
    return {};
}

std::span<const double> StiffIntegrator::state() const {
    return {N_VGetArrayPointer(parts_->state.get()), parts_->system.start.size()};
}

} // namespace potwatch::forecast
