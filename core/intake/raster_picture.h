// SPDX-License-Identifier: GPL-3.0-or-later
// Bands of a raster as colours.
#pragma once

#include "intake/picture.h"

#include <functional>
#include <optional>
#include <vector>

class GDALDataset;
class GDALRasterBand;

namespace fw {

/// Values that become black and white; none: a byte as it is.
struct Stretch {
    double black = 0, white = 255;
};

/// Reads windows of a raster as pictures: colour tables, grey, red-green-blue, each with or without alpha,
/// mask or a value for "no data". Within a GdalScope, on one thread; the raster has to outlive it.
class ColorReader {
public:
    ColorReader(GDALDataset& data, std::optional<Stretch> stretch);

    struct Window {
        int x = 0, y = 0, width = 0, height = 0;
    };
    /// Fills the picture, its size being what the window is brought to: averaged where that is less, colour
    /// tables by the nearest cell. False when it cannot be read, or when `goOn` says no.
    bool read(const Window& window, Picture& out, const std::function<bool()>& goOn) const;
    /// "red, green and blue", "a colour table", "grey".
    [[nodiscard]] const char* kind() const;

private:
    using Cells = std::vector<float>;
    bool readBand(GDALRasterBand& band, const Window& window, const Picture& size, Cells& cells,
                  const std::function<bool()>& goOn) const;
    void colorsFrom(const std::vector<Cells>& bands, const Cells& alpha, Picture& out) const;
    void tableFrom(const Cells& cells, const Cells& alpha, Picture& out) const;
    [[nodiscard]] float scaled(float v) const;

    GDALDataset& m_data;
    Stretch m_stretch;
    int m_alpha = 0;           ///< band number; 0: none
    std::vector<int> m_colors; ///< band numbers: one (grey, or entries of a table) or three
    bool m_table = false, m_mask = false;
    std::vector<std::optional<float>> m_noData; ///< by colour band
};

} // namespace fw
