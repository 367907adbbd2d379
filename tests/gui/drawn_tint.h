// SPDX-License-Identifier: GPL-3.0-or-later
// A random town's study, and pictures of its tints.
#pragma once

#include "canvas/ground_tint.h"
#include "study/hand_plan.h"
#include "support/random_plan.h"

#include <QImage>
#include <QPainter>

#include <algorithm>
#include <cstdlib>
#include <memory>

namespace fwtest {

inline std::shared_ptr<const fw::Study> townStudy() {
    fw::Random random(5);
    return fw::testing::studyOf(fw::testing::randomPlan(random));
}

inline QImage drawn(const fw::TintPicture& p, const fw::Box& box, double metresPerPixel, double ratio = 1) {
    const QSizeF size(box.width() / metresPerPixel, box.height() / metresPerPixel);
    QImage image((size * ratio).toSize(), QImage::Format_ARGB32_Premultiplied);
    image.setDevicePixelRatio(ratio);
    image.fill(Qt::transparent);
    QPainter painter(&image);
    fw::paintTint(painter, box, metresPerPixel, p, fw::dayPalette());
    return image;
}

inline int stepOf(const fw::TintPicture& p, double amount) {
    return static_cast<int>(std::upper_bound(p.bounds.begin(), p.bounds.end(), amount) - p.bounds.begin());
}

/// But for rounding.
inline bool near(QRgb a, QRgb b) {
    return std::abs(qRed(a) - qRed(b)) <= 1 && std::abs(qGreen(a) - qGreen(b)) <= 1 &&
           std::abs(qBlue(a) - qBlue(b)) <= 1 && std::abs(qAlpha(a) - qAlpha(b)) <= 1;
}

} // namespace fwtest
