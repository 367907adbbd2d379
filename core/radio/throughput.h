// SPDX-License-Identifier: GPL-3.0-or-later
// From signal quality to bits.
#pragma once

#include "plan/model_choices.h"

#include <span>

namespace fw {

/// What a link carries as a share of Shannon's bound: alpha log2(1 + SINR), nothing below a floor, no more
/// than a cap. Defaults: downlink. Source: 3GPP TR 36.942, Annex A.1, Table A.1 (uplink: alpha 0.4, cap 2.0,
/// from memory).
struct AttenuatedShannon {
    double alpha = 0.6;
    double snirMinDb = -10.0;
    double capBps = 4.4; ///< bit/s/Hz
    /// Spectral efficiency (bit/s/Hz) at a SINR (dB).
    [[nodiscard]] double spectralEfficiency(double sinrDb) const;
};

/// The downlink default above.
double spectralEfficiency(double sinrDb);

/// One step of the channel quality indicator.
struct CqiStep {
    int cqi = 0;
    int bitsPerSymbol = 0; ///< 2 QPSK, 4 16QAM, 6 64QAM, 8 256QAM
    int codeRateX1024 = 0;
    [[nodiscard]] constexpr double efficiency() const { return bitsPerSymbol * codeRateX1024 / 1024.0; }
};
/// CQI 1 to 15 in ascending order. Source: 3GPP TS 36.213, Table 7.2.3-1 (up to 64QAM) and 7.2.3-2 (up to
/// 256QAM); the same figures stand in TS 38.214, Tables 5.2.2.1-2 and -3.
std::span<const CqiStep> cqiTable();
std::span<const CqiStep> cqiTable256Qam();

/// What a link carries (bit/s/Hz) by the model that a plan chooses: the downlink default of
/// AttenuatedShannon, or the efficiency of cqiAt() in cqiTable(), 0 below CQI 1.
double spectralEfficiency(double sinrDb, EfficiencyModel model);

/// The greatest CQI whose efficiency the link carries, 0 for none. The mapping from SINR by attenuated
/// Shannon is our choice: 3GPP ties no SINR to a CQI.
int cqiAt(double sinrDb, std::span<const CqiStep> table = cqiTable());

} // namespace fw
