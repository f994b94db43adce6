//! The kinds of part, and what a kind has or lacks.

use std::fmt;

use serde::{Deserialize, Serialize};

macro_rules! kinds {
    ($($variant:ident $slug:literal $words:literal,)*) => {
        /// What a part is for.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        #[allow(missing_docs)]
        pub enum Kind { $($variant,)* }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Kind] = &[$(Kind::$variant,)*];

            /// As files and commands write it.
            pub const fn slug(self) -> &'static str {
                match self { $(Kind::$variant => $slug,)* }
            }

            /// As a person says it.
            pub const fn words(self) -> &'static str {
                match self { $(Kind::$variant => $words,)* }
            }
        }
    };
}

kinds! {
    Implant "implant" "implant",
    MultiUnitAbutment "multi-unit-abutment" "multi-unit abutment",
    Abutment "abutment" "abutment",
    TitaniumBase "titanium-base" "titanium base",
    Cylinder "cylinder" "cylinder",
    Framework "framework" "framework",
    AbutmentScrew "abutment-screw" "abutment screw (abutment to implant)",
    ProstheticScrew "prosthetic-screw" "prosthetic screw (bridge to abutment)",
    HealingCap "healing-cap" "healing cap (on abutment)",
    HealingAbutment "healing-abutment" "healing abutment (on implant)",
    CoverScrew "cover-screw" "cover screw",
    ImpressionCoping "impression-coping" "impression coping",
    ScanBody "scan-body" "scan body",
    Analog "analog" "analog",
    LaboratoryScrew "laboratory-screw" "laboratory screw",
    Driver "driver" "driver",
    TorqueWrench "torque-wrench" "torque wrench",
    RemovalTool "removal-tool" "removal tool",
    RetrievalSet "retrieval-set" "retrieval set",
    RetentionInsert "retention-insert" "retention insert",
    DentureTooth "denture-tooth" "denture tooth",
    Consumable "consumable" "consumable",
    Bur "bur" "bur",
    ChannelTape "channel-tape" "tape for the screw channel",
    ChannelFilling "channel-filling" "filling for the screw channel",
}

impl Kind {
    /// The kind of this slug.
    pub fn from_slug(text: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|k| k.slug() == text)
    }

    /// The kind without its joint, where the joint is said anyway.
    pub fn short(self) -> &'static str {
        self.words().split(" (").next().unwrap_or(self.slug())
    }

    /// A screw: has a head, a shank and a drive.
    pub const fn is_screw(self) -> bool {
        matches!(self, Self::AbutmentScrew | Self::ProstheticScrew | Self::LaboratoryScrew | Self::CoverScrew)
    }

    /// A body that stands between two seats: has a height, a collar, an angle.
    pub const fn has_body(self) -> bool {
        matches!(
            self,
            Self::MultiUnitAbutment
                | Self::Abutment
                | Self::TitaniumBase
                | Self::Cylinder
                | Self::HealingAbutment
        )
    }

    /// Whether a patient carries it: it is fitted at a torque, not used as a tool.
    pub const fn is_fitted(self) -> bool {
        self.has_body()
            || matches!(
                self,
                Self::Implant
                    | Self::AbutmentScrew
                    | Self::ProstheticScrew
                    | Self::HealingCap
                    | Self::CoverScrew
            )
    }

    /// A tool that serves every drive and thread: one of them lies on every tray.
    pub const fn is_shared_tool(self) -> bool {
        matches!(self, Self::TorqueWrench | Self::Bur | Self::ChannelTape | Self::ChannelFilling)
    }

    /// Whether it carries a drive of its own.
    pub const fn has_drive(self) -> bool {
        self.is_screw() || matches!(self, Self::Driver | Self::HealingCap | Self::HealingAbutment)
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.words())
    }
}
