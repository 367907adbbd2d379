// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/one_heap.h"
#include "commands/command_line.h"
#include "commands/commands.h"
#include "surface/sight_scan.h"
#include "window.h"

#include <clocale>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <exception>
#include <fmt/format.h>
#include <new>
#include <thread>
#include <unistd.h>

namespace {

using namespace fw::cli;

/// Turns the first interrupt (Ctrl+C) into a request to stop, and the second into an end at once. The signal
/// is waited for on a thread, since a handler may do next to nothing. To be made before any other thread.
class Interrupts {
public:
    Interrupts() {
        sigemptyset(&m_signals);
        sigaddset(&m_signals, SIGINT);
        pthread_sigmask(SIG_BLOCK, &m_signals, nullptr);
        std::thread([signals = m_signals, source = m_source]() mutable {
            int signal = 0;
            if (sigwait(&signals, &signal) == 0) source.request_stop();
            if (sigwait(&signals, &signal) == 0) _exit(exitInterrupted);
        }).detach();
    }
    [[nodiscard]] std::stop_token token() const { return m_source.get_token(); }

private:
    sigset_t m_signals{};
    std::stop_source m_source;
};

struct Runner {
    std::stop_token stop;
    int& argc;
    char** argv;

    int operator()(const InfoRequest& r) const { return runInfo(r); }
    int operator()(const CheckRequest& r) const { return runCheck(r); }
    int operator()(const CalibrateRequest& r) const { return runCalibrate(r, stop); }
    int operator()(const AfterRequest& r) const { return runAfter(r, stop); }
    int operator()(const AuditRequest& r) const { return runAudit(r, stop); }
    int operator()(const NewRequest& r) const { return runNew(r); }
    int operator()(const AddRequest& r) const { return runAdd(r, stop); }
    int operator()(const TemplateRequest& r) const { return runTemplate(r); }
    int operator()(const ReviewRequest& r) const { return runReview(r, stop); }
    int operator()(const FitRequest& r) const { return runFit(r, stop); }
    int operator()(const LedgerRequest& r) const { return runLedger(r, stop); }
    int operator()(const ChanceRequest& r) const { return runChance(r, stop); }
    int operator()(const VariantsRequest& r) const { return runVariants(r, stop); }
    int operator()(const AimRequest& r) const { return runAim(r, stop); }
    int operator()(const AlternatesRequest& r) const { return runAlternates(r, stop); }
    int operator()(const ProposeRequest& r) const { return runPropose(r, stop); }
    int operator()(const ChooseRequest& r) const { return runChoose(r, stop); }
    int operator()(const IdentifyRequest& r) const { return runIdentify(r, stop); }
    int operator()(const PackRequest& r) const { return runPack(r, stop, argc, argv); }
    int operator()(const EvidenceRequest& r) const { return runEvidence(r, stop, argc, argv); }
    int operator()(const CalcRequest& r) const { return runCalc(r); }
    int operator()(const Answer& a) const {
        deliver(a.text);
        return exitClean;
    }
    int operator()(const Misuse& m) const {
        fmt::print(stderr, "{}\n", m.text);
        return exitUsage;
    }
    int operator()(const WindowRequest& r) const { return runWindow(r, argc, argv); }
};

int run(const Request& request, const Runner& runner) {
    try {
        return std::visit(runner, request);
    } catch (const Failure& f) {
        say(f.sentence);
        return f.exit;
    } catch (const std::bad_alloc&) {
        say("There is not enough memory for this plan.");
    } catch (const std::exception& e) {
        say(fmt::format("Something went wrong inside the program: {}. Please report it with the plan.",
                        e.what()));
    }
    return exitInternal;
}

} // namespace

int main(int argc, char** argv) {
    fw::useOneHeap();
    const Interrupts interrupts;
    // Numbers are written and read in C notation whatever the user's country; names stay as their bytes.
    std::setlocale(LC_ALL, "C");
    // For tests: the sight kernel as it runs on processors without wide vectors. The results are the same.
    if (const char* plain = std::getenv("FRINGEWRIGHT_PLAIN_KERNELS"))
        fw::setScanKernelPlain(std::string_view(plain) == "1");
    const int code = run(parseCommandLine(argc, argv), {interrupts.token(), argc, argv});
    if (code != exitInterrupted) return code;
    std::fflush(nullptr);
    _exit(code); // work that was left behind is not waited for
}
