// SPDX-License-Identifier: GPL-3.0-or-later
// Small documents that several tests begin with.
#pragma once

#include <string>

namespace fw::testing {

inline std::string kmlOf(const std::string& inside) {
    return R"(<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>)" +
           inside + "</Document></kml>";
}
inline const std::string kPlacemark =
    "<Placemark><name>A</name><Point><coordinates>-6.26,53.35,4</coordinates></Point></Placemark>";

/// @param schema  value of xsi:schemaLocation.
inline std::string gmlOf(const std::string& schema, const std::string& geometry,
                         const std::string& system = "urn:ogc:def:crs:EPSG::32629") {
    return R"(<?xml version="1.0" encoding="UTF-8"?><ogr:FeatureCollection)"
           R"( xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xmlns:xlink="http://www.w3.org/1999/xlink")"
           R"( xmlns:ogr="http://ogr.maptools.org/" xmlns:gml="http://www.opengis.net/gml/3.2")"
           R"( xsi:schemaLocation=")" +
           schema + R"("><ogr:featureMember><ogr:mast gml:id="m.1"><ogr:geometryProperty)" + geometry +
           R"(</ogr:geometryProperty><ogr:name>A</ogr:name></ogr:mast></ogr:featureMember>)"
           R"(<ogr:featureMember><ogr:mast gml:id="m.2"><ogr:geometryProperty><gml:Point srsName=")" +
           system +
           R"("><gml:pos>680000 5910000</gml:pos></gml:Point></ogr:geometryProperty><ogr:name>B</ogr:name>)"
           R"(</ogr:mast></ogr:featureMember></ogr:FeatureCollection>)";
}
inline const std::string kGmlPoint =
    R"(><gml:Point srsName="urn:ogc:def:crs:EPSG::32629"><gml:pos>681000 5911000</gml:pos></gml:Point>)";

/// @param more  members of the collection, each with a comma behind it.
inline std::string geoJsonOf(const std::string& features, const std::string& more = "") {
    return R"({"type":"FeatureCollection",)" + more + R"("features":[)" + features + "]}";
}
inline const std::string kJsonPoint =
    R"({"type":"Feature","properties":{"name":"A"},"geometry":{"type":"Point","coordinates":[-6.26,53.35]}})";

inline std::string osmOf(const std::string& inside) {
    return R"(<?xml version="1.0" encoding="UTF-8"?><osm version="0.6" generator="test">)" + inside +
           "</osm>";
}

} // namespace fw::testing
