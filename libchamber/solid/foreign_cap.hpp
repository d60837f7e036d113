#pragma once
// Fluxes of (P - O)/3 through faces, and the disc that closes a plug hole.
#include "chamber/solid/foreign_chamber.hpp"

namespace chamber::solid::foreign {

struct Flux {
  double value = 0, doubt = 0;
};
/// Out of the material, through these faces, of (P - O)/3. The doubt is the difference to
/// half as many steps.
Flux flux(const Skin& skin, const std::vector<int>& faces, const gp_Pnt& origin);

/// Whether the plug's end at this height above the sealing face lies in the tunnel.
bool reaches(const Skin& skin, const Tunnel& tunnel, const Chamber& chamber, double plug_end);

/// The disc and the flux through it and through the hole's wall between it and the chamber.
struct Closed {
  Cap cap;
  double flux = 0;
};
/// Closes the tunnel where it is first a full ring seen from the chamber, or at the plug's end. Nothing if the tunnel
/// does not touch the chamber's faces.
std::optional<Closed> close(const Skin& skin, const Tunnel& tunnel, const Chamber& chamber,
                            const std::vector<char>& reached, const std::optional<double>& plug_end);

} // namespace chamber::solid::foreign
