using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>How much each channel counts in a loudness: ITU-R BS.1770-5, Annex 1, table 3.</summary>
public static class ChannelWeights
{
    private const double Surround = 1.41; // +1.5 dB, for what comes from the sides

    /// <summary>One channel. A mono file reads 3 LU less than the same on both channels of a stereo file.</summary>
    public static IReadOnlyList<double> Mono { get; } = [1];

    /// <summary>Left, right.</summary>
    public static IReadOnlyList<double> Stereo { get; } = [1, 1];

    /// <summary>Left, right, centre, left surround, right surround.</summary>
    public static IReadOnlyList<double> Surround50 { get; } = [1, 1, 1, Surround, Surround];

    /// <summary>Left, right, centre, low-frequency effects (which do not count), left surround, right surround.</summary>
    public static IReadOnlyList<double> Surround51 { get; } = [1, 1, 1, 0, Surround, Surround];

    /// <summary>The weights of so many channels in their usual order: 1, 2, 5 or 6.</summary>
    public static IReadOnlyList<double> Of(int channels) => channels switch
    {
        1 => Mono,
        2 => Stereo,
        5 => Surround50,
        6 => Surround51,
        _ => throw new ArgumentOutOfRangeException(nameof(channels), channels, "Loudness is defined for 1, 2, 5 and 6 channels here."),
    };

    /// <summary>Sum of squares of all channels of a K-weighted signal, each with its weight.</summary>
    public static double EnergyOf(Signal weighted, IReadOnlyList<double> weights)
    {
        var energy = 0.0;
        if (weighted.IsSilent)
            return energy;
        for (var channel = 0; channel < weights.Count; channel++)
            energy += weights[channel] * Energy.Of(weighted[channel]);
        return energy;
    }
}
