// SPDX-License-Identifier: GPL-3.0-or-later
// Rows out of the features of the library.
#pragma once

#include "intake/source.h"

#include <string>
#include <vector>

class OGRFeature;
class OGRFeatureDefn;
class OGRGeometry;

namespace fw {

/// Parts of every kind, curves as chords, heights and measures left out; of no geometry the reason why.
/// @param swapped  the first coordinate runs north.
void shapeFrom(const OGRGeometry* geometry, bool swapped, SourceShape& shape);

/// Makes rows of features of one kind; columns on `leaveOut` and those that hold bytes are passed over.
class OgrRows {
public:
    OgrRows(OGRFeatureDefn& kind, bool swapped, const std::vector<std::string>& leaveOut = {});
    [[nodiscard]] const std::vector<SourceColumn>& columns() const { return m_columns; }
    void read(const OGRFeature& feature, SourceRow& row) const;

private:
    std::vector<int> m_fields; ///< index of the feature's field by column
    std::vector<SourceColumn> m_columns;
    bool m_swapped = false;
};

/// A value as samples show it.
std::string sampleText(const SourceValue& value);
/// Adds a row's values to the samples of columns that have fewer than five.
void addSamples(const SourceRow& row, std::vector<SourceColumn>& columns);
/// "polygons", "points and lines"; of several kinds in the order points, lines, polygons.
std::string shapeWords(bool points, bool lines, bool areas);
/// Without blanks at its ends; UTF-8, taken for Latin-1 where it is not.
std::string cleanText(const char* text);

} // namespace fw
