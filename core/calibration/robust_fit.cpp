// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/robust_fit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace fw {

namespace {

constexpr int kRounds = 25;

using Vector = std::array<double, kMostTerms>;
using Matrix = std::array<Vector, kMostTerms>;

// Inverse of a symmetric positive matrix by elimination with pivots on the diagonal; false when it has none.
bool invert(Matrix a, std::size_t n, Matrix& out) {
    out = {};
    for (std::size_t k = 0; k < n; ++k) out[k][k] = 1;
    double largest = 0;
    for (std::size_t k = 0; k < n; ++k) largest = std::max(largest, std::fabs(a[k][k]));
    for (std::size_t k = 0; k < n; ++k) {
        const double pivot = a[k][k];
        if (!(std::fabs(pivot) > 1e-12 * largest)) return false;
        for (std::size_t c = 0; c < n; ++c) {
            a[k][c] /= pivot;
            out[k][c] /= pivot;
        }
        for (std::size_t r = 0; r < n; ++r) {
            if (r == k) continue;
            const double f = a[r][k];
            for (std::size_t c = 0; c < n; ++c) {
                a[r][c] -= f * a[k][c];
                out[r][c] -= f * out[k][c];
            }
        }
    }
    return true;
}

class Fitter {
public:
    Fitter(std::span<const FitRow> rows, std::span<const double> y, std::size_t terms, double leastScale)
        : m_rows(rows), m_y(y), m_n(terms), m_leastScale(leastScale), m_left(y.begin(), y.end()) {}

    bool run(RobustFit& fit) {
        fit.weights.assign(m_y.size(), 1.0);
        if (!start(fit)) return false;
        for (int k = 0; k < kRounds; ++k) {
            fit.scale = scaleNow();
            weigh(fit, [](double u) { return u <= kHuberTuning ? 1 : kHuberTuning / u; });
            if (!solve(fit)) return false;
        }
        fit.scale = scaleNow();
        for (int k = 0; k < kRounds; ++k) {
            weigh(fit, [](double u) {
                const double t = u / kBiweightTuning;
                return t >= 1 ? 0.0 : (1 - t * t) * (1 - t * t);
            });
            if (!solve(fit)) return false;
        }
        return true;
    }
    [[nodiscard]] const std::vector<double>& left() const { return m_left; }

private:
    // A constant alone begins at the median; with further terms plain least squares must do.
    bool start(RobustFit& fit) {
        if (m_n > 1) return solve(fit);
        std::vector<double> ratio;
        for (std::size_t i = 0; i < m_y.size(); ++i)
            if (m_rows[i][0] != 0) ratio.push_back(m_y[i] / m_rows[i][0]);
        if (ratio.empty()) return false;
        fit.value[0] = medianValue(std::move(ratio));
        leave(fit.value);
        return true;
    }
    [[nodiscard]] double scaleNow() const {
        std::vector<double> off;
        off.reserve(m_left.size());
        for (const double r : m_left) off.push_back(std::fabs(r));
        return std::max(m_leastScale, kMadToSigma * medianValue(std::move(off)));
    }
    template <class W>
    void weigh(RobustFit& fit, W&& w) const {
        for (std::size_t i = 0; i < m_left.size(); ++i) fit.weights[i] = w(std::fabs(m_left[i]) / fit.scale);
    }
    bool solve(RobustFit& fit) {
        Matrix a{};
        Vector b{};
        for (std::size_t i = 0; i < m_y.size(); ++i)
            for (std::size_t r = 0; r < m_n; ++r) {
                const double wx = fit.weights[i] * m_rows[i][r];
                b[r] += wx * m_y[i];
                for (std::size_t c = 0; c < m_n; ++c) a[r][c] += wx * m_rows[i][c];
            }
        Matrix inverse;
        if (!invert(a, m_n, inverse)) return false;
        fit.value = {};
        for (std::size_t r = 0; r < m_n; ++r)
            for (std::size_t c = 0; c < m_n; ++c) fit.value[r] += inverse[r][c] * b[c];
        leave(fit.value);
        return true;
    }
    void leave(const Vector& value) {
        for (std::size_t i = 0; i < m_y.size(); ++i) {
            m_left[i] = m_y[i];
            for (std::size_t k = 0; k < m_n; ++k) m_left[i] -= value[k] * m_rows[i][k];
        }
    }

    std::span<const FitRow> m_rows;
    std::span<const double> m_y;
    std::size_t m_n;
    double m_leastScale;
    std::vector<double> m_left;
};

// Sandwich: the slopes of psi as bread, sums of psi over clusters as filling.
void addErrors(RobustFit& fit, std::span<const FitRow> rows, const std::vector<double>& left,
               std::span<const std::uint32_t> clusters, std::size_t n) {
    fit.error.fill(std::numeric_limits<double>::infinity());
    Matrix bread{}, inverse;
    std::map<std::uint32_t, Vector> sums;
    for (std::size_t i = 0; i < left.size(); ++i) {
        const double t = left[i] / (fit.scale * kBiweightTuning), t2 = t * t;
        const double slope = t2 >= 1 ? 0 : (1 - t2) * (1 - 5 * t2); // of t (1 - t^2)^2
        Vector& sum = sums.try_emplace(clusters[i], Vector{}).first->second;
        for (std::size_t r = 0; r < n; ++r) {
            sum[r] += rows[i][r] * fit.weights[i] * left[i];
            for (std::size_t c = 0; c < n; ++c) bread[r][c] += slope * rows[i][r] * rows[i][c];
        }
    }
    const auto groups = static_cast<double>(sums.size());
    if (sums.size() < 2 || !invert(bread, n, inverse)) return;
    for (std::size_t k = 0; k < n; ++k) {
        double variance = 0;
        for (const auto& [cluster, sum] : sums) {
            double s = 0;
            for (std::size_t c = 0; c < n; ++c) s += inverse[k][c] * sum[c];
            variance += s * s;
        }
        fit.error[k] = std::sqrt(variance * groups / (groups - 1));
    }
}

} // namespace

double medianValue(std::vector<double> values) {
    const auto half = static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), values.begin() + half, values.end());
    const double upper = values[static_cast<std::size_t>(half)];
    if (values.size() % 2 == 1) return upper;
    return (upper + *std::max_element(values.begin(), values.begin() + half)) / 2;
}

RobustFit robustFit(std::span<const FitRow> rows, std::span<const double> y,
                    std::span<const std::uint32_t> clusters, std::size_t terms, double leastScale) {
    RobustFit fit;
    if (terms < 1 || terms > kMostTerms || y.size() <= terms || rows.size() != y.size() ||
        clusters.size() != y.size())
        return fit;
    Fitter fitter(rows, y, terms, leastScale);
    fit.ok = fitter.run(fit);
    if (fit.ok) addErrors(fit, rows, fitter.left(), clusters, terms);
    return fit;
}

} // namespace fw
