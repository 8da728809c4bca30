namespace RenderGraph.Nodes.Dsp;

/// <summary>How the sections of a low-pass or high-pass are tuned to each other.</summary>
public enum Alignment
{
    /// <summary>As flat as possible up to the corner, which lies at -3 dB.</summary>
    Butterworth,

    /// <summary>Butterworth twice over, the corner at -6 dB: low and high at one corner add up to a flat response.</summary>
    LinkwitzRiley,
}
