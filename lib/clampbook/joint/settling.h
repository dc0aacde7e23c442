// Settling: faces bed in after tightening and take preload with them.
// A figure from here may be taken to a bolt: what has to be said with it stands in clampbook/text/cautions.h.
#pragma once

#include <clampbook/joint/resilience.h>

namespace clampbook::joint {

/// Roughness Rz of the faces: under 10, 10 to 40, 40 to 160 micrometres.
enum class Roughness { smooth, medium, rough };

/// Embedding of a joint under an axial load: threads, one seat for the head and another for the nut, and each
/// inner face between parts.
/// in      inner_faces  0 .. 100
/// source  VDI 2230-1 table 5, from memory (data/embedding.inc); docs/physics.md section 9
[[nodiscard]] Length embedding(Roughness roughness, Receiver receiver, int inner_faces);

/// Faces between parts: one fewer than the layers, and one more against a tapped part.
[[nodiscard]] int inner_faces(const ClampedParts& parts);

/// F_Z = f_Z/(delta_S + delta_P) (docs/physics.md equation 9.1)
/// throws  DomainError
[[nodiscard]] Force settling_loss(Length embedding, Resilience bolt, Resilience parts);

/// What is left, not below zero.
[[nodiscard]] Force settled_preload(Force preload, Length embedding, Resilience bolt, Resilience parts);

}  // namespace clampbook::joint
