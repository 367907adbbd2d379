// SPDX-License-Identifier: GPL-3.0-or-later
// The commands. Each reads, calls core and writes its result; none computes anything itself. What ends one
// early is thrown as Failure. The texts below are what the commands print, for others that hold the results.
#pragma once

#include "commands/common.h"
#include "review/review.h"
#include "study/fit.h"

#include <string>
#include <vector>

namespace fw {
struct Aim;
struct UplinkLedger;
} // namespace fw

namespace fw::cli {

int runInfo(const InfoRequest& request);
int runCheck(const CheckRequest& request);
int runAudit(const AuditRequest& request, std::stop_token stop);
int runNew(const NewRequest& request);
int runAdd(const AddRequest& request, std::stop_token stop);
int runCalibrate(const CalibrateRequest& request, std::stop_token stop);
int runAfter(const AfterRequest& request, std::stop_token stop);
int runTemplate(const TemplateRequest& request);
int runReview(const ReviewRequest& request, std::stop_token stop);
int runFit(const FitRequest& request, std::stop_token stop);
int runLedger(const LedgerRequest& request, std::stop_token stop);
int runChance(const ChanceRequest& request, std::stop_token stop);
int runVariants(const VariantsRequest& request, std::stop_token stop);
int runAim(const AimRequest& request, std::stop_token stop);
int runAlternates(const AlternatesRequest& request, std::stop_token stop);
int runPropose(const ProposeRequest& request, std::stop_token stop);
int runChoose(const ChooseRequest& request, std::stop_token stop);
int runIdentify(const IdentifyRequest& request, std::stop_token stop);
int runPack(const PackRequest& request, std::stop_token stop, int& argc, char** argv);
int runEvidence(const EvidenceRequest& request, std::stop_token stop, int& argc, char** argv);
int runCalc(const CalcRequest& request);

/// What `review --json` prints.
std::string reviewJson(const Study& study, const Review& review, bool withWorking = false);
/// What `ledger --json` prints; null for a ledger that was not asked for.
std::string ledgerJson(const Study& study, const Ledger* live, const Ledger* settled,
                       const UplinkLedger* uplink = nullptr, bool withWorking = false);
/// What `aim --json` prints.
std::string aimJson(const Study& study, const Aim& aim, bool withWorking);
/// What `fit --json` prints.
std::string fitJson(const Study& study, const std::vector<Fit>& fits, bool withWorking);

} // namespace fw::cli
