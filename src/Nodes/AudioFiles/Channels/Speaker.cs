namespace RenderGraph.Nodes.AudioFiles.Channels;

/// <summary>What a channel is for.</summary>
internal enum Speaker
{
    /// <summary>Something that no down-mix is agreed on for: a height channel, say.</summary>
    Other,

    /// <summary>L.</summary>
    FrontLeft,

    /// <summary>R.</summary>
    FrontRight,

    /// <summary>C.</summary>
    FrontCentre,

    /// <summary>LFE, low-frequency effects.</summary>
    LowFrequency,

    /// <summary>Left surround, further back.</summary>
    BackLeft,

    /// <summary>Right surround, further back.</summary>
    BackRight,

    /// <summary>Left surround, at the side.</summary>
    SideLeft,

    /// <summary>Right surround, at the side.</summary>
    SideRight,
}
