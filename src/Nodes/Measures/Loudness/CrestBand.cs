using System.Globalization;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>A stretch of frequencies whose crest factor is measured, cut out by Butterworth filters: 12 dB an octave on either side, 24 where there is only one.</summary>
/// <param name="FromHz">Its lower corner.</param>
/// <param name="ToHz">Its upper corner; infinite for the last.</param>
/// <param name="Measure">The name of its measure.</param>
public sealed record CrestBand(double FromHz, double ToHz, string Measure)
{
    private const double Q = 0.7071067811865476;

    /// <summary>The four low bands that reports use, and everything above.</summary>
    public static IReadOnlyList<CrestBand> All { get; } =
    [
        new(20, 30, "crest20To30Db"), new(30, 60, "crest30To60Db"), new(60, 120, "crest60To120Db"), new(120, 300, "crest120To300Db"),
        new(300, double.PositiveInfinity, "crestAbove300Db"),
    ];

    /// <summary>Whether it lies so low that nothing above 1 kHz matters.</summary>
    public bool IsLow => double.IsFinite(ToHz);

    /// <summary>Its name in a sentence.</summary>
    public string Words => double.IsFinite(ToHz)
        ? string.Create(CultureInfo.InvariantCulture, $"{FromHz} to {ToHz} Hz")
        : string.Create(CultureInfo.InvariantCulture, $"above {FromHz} Hz");

    /// <summary>Its two sections.</summary>
    public IReadOnlyList<Section> Sections(int sampleRateHz) => double.IsFinite(ToHz)
        ? [SectionDesign.HighPass(FromHz, Q, sampleRateHz), SectionDesign.LowPass(ToHz, Q, sampleRateHz)]
        : SectionDesign.HighPass(FromHz, 24, Alignment.Butterworth, sampleRateHz);
}
