// SPDX-License-Identifier: GPL-3.0-or-later
// The true walls and ground round a place, for rays by Embree 3 (Intel's ray tracing kernels).
#pragma once

#include "surface/surface.h"

#include <embree3/rtcore.h>

#include <cstdint>
#include <vector>

namespace fw::testing {

/// Extruded footprints and a terrain mesh round one mount, in metres from its cell. Roofs are not needed: a
/// line that goes under a flat roof and ends outside passes a wall.
class TrueScene {
public:
    TrueScene(const Surface& s, PlanePoint middle, double radiusM) : m_middle(middle) {
        m_device = rtcNewDevice(nullptr);
        m_scene = rtcNewScene(m_device);
        std::vector<std::uint32_t> near;
        s.prismIndex().query(Box{middle.x, middle.y, middle.x, middle.y}.grown(radiusM), near);
        for (const std::uint32_t i : near) {
            const Prism& p = s.prisms()[i];
            addWalls(p.footprint.outer, s.roofAmsl()[i]);
            for (const Ring& hole : p.footprint.holes) addWalls(hole, s.roofAmsl()[i]);
        }
        commit();
        if (!s.terrain().heights.empty()) addGround(s, radiusM);
        rtcCommitScene(m_scene);
    }
    ~TrueScene() {
        rtcReleaseScene(m_scene);
        rtcReleaseDevice(m_device);
    }
    TrueScene(const TrueScene&) = delete;
    TrueScene& operator=(const TrueScene&) = delete;

    [[nodiscard]] bool inSight(double fromAmsl, PlanePoint to, double toAmsl) const {
        RTCIntersectContext context;
        rtcInitIntersectContext(&context);
        RTCRay ray{};
        ray.org_z = static_cast<float>(fromAmsl);
        ray.dir_x = static_cast<float>(to.x - m_middle.x);
        ray.dir_y = static_cast<float>(to.y - m_middle.y);
        ray.dir_z = static_cast<float>(toAmsl - fromAmsl);
        ray.tfar = 1;
        ray.mask = ~0u;
        rtcOccluded1(m_scene, &context, &ray);
        return ray.tfar >= 0; // Embree sets it to minus infinity where something is hit
    }

    /// Eight rays at once, all alike in direction: what the tracer is fastest at. Bit k: ray k is in sight.
    [[nodiscard]] unsigned inSight8(double fromAmsl, const PlanePoint* to, const float* toAmsl) const {
        RTCIntersectContext context;
        rtcInitIntersectContext(&context);
        context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
        RTCRay8 ray{};
        alignas(32) int valid[8];
        for (unsigned k = 0; k < 8; ++k) {
            valid[k] = -1;
            ray.org_z[k] = static_cast<float>(fromAmsl);
            ray.dir_x[k] = static_cast<float>(to[k].x - m_middle.x);
            ray.dir_y[k] = static_cast<float>(to[k].y - m_middle.y);
            ray.dir_z[k] = toAmsl[k] - static_cast<float>(fromAmsl);
            ray.tfar[k] = 1;
            ray.mask[k] = ~0u;
        }
        rtcOccluded8(valid, m_scene, &context, &ray);
        unsigned seen = 0;
        for (unsigned k = 0; k < 8; ++k) seen |= static_cast<unsigned>(ray.tfar[k] >= 0) << k;
        return seen;
    }

private:
    struct Corner {
        float x, y, z;
    };
    void corner(PlanePoint p, double z) {
        m_corners.push_back({static_cast<float>(p.x - m_middle.x), static_cast<float>(p.y - m_middle.y),
                             static_cast<float>(z)});
    }
    void triangles(unsigned a, unsigned b, unsigned c, unsigned d) {
        m_triangles.insert(m_triangles.end(), {a, b, c, a, c, d});
    }
    void addWalls(const Ring& ring, double roof) {
        for (std::size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
            const auto first = static_cast<unsigned>(m_corners.size());
            corner(ring[j], -100);
            corner(ring[i], -100);
            corner(ring[i], roof);
            corner(ring[j], roof);
            triangles(first, first + 1, first + 2, first + 3);
        }
    }
    void addGround(const Surface& s, double radiusM) {
        const int n = static_cast<int>(radiusM / 2) + 2, side = 2 * n + 1;
        for (int r = -n; r <= n; ++r)
            for (int c = -n; c <= n; ++c) {
                const PlanePoint p = m_middle + PlanePoint{2.0 * c, 2.0 * r};
                corner(p, s.groundAt(p));
            }
        for (int r = 0; r + 1 < side; ++r)
            for (int c = 0; c + 1 < side; ++c) {
                const auto k = static_cast<unsigned>(r * side + c), up = static_cast<unsigned>(side);
                triangles(k, k + 1, k + up + 1, k + up);
            }
        commit();
    }
    /// Hands over what was gathered as one mesh.
    void commit() {
        RTCGeometry g = rtcNewGeometry(m_device, RTC_GEOMETRY_TYPE_TRIANGLE);
        void* v = rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, sizeof(Corner),
                                          m_corners.size());
        std::copy(m_corners.begin(), m_corners.end(), static_cast<Corner*>(v));
        void* t = rtcSetNewGeometryBuffer(g, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned),
                                          m_triangles.size() / 3);
        std::copy(m_triangles.begin(), m_triangles.end(), static_cast<unsigned*>(t));
        rtcCommitGeometry(g);
        rtcAttachGeometry(m_scene, g);
        rtcReleaseGeometry(g);
        m_corners.clear();
        m_triangles.clear();
    }

    PlanePoint m_middle;
    RTCDevice m_device = nullptr;
    RTCScene m_scene = nullptr;
    std::vector<Corner> m_corners;
    std::vector<unsigned> m_triangles;
};

} // namespace fw::testing
