using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Speakers;

/// <summary>
/// A model of a small loudspeaker: a 4th-order Butterworth high-pass. That is how a vented box falls below its corner in the alignment called B4 (after Thiele and Small; from memory): -3 dB at the corner, 24 dB an octave
/// below. A closed box falls by 12 dB an octave only, so of such a speaker the model is a severe one. Distortion, which would add harmonics of its own, and resonances above the corner are left out.
/// </summary>
public static class SmallSpeaker
{
    private const double SlopeDbPerOctave = 24;

    /// <summary>The corners there are: roughly a small desk speaker, a laptop or tablet, a telephone. Common practice, no source.</summary>
    public static IReadOnlyList<double> CornersHz { get; } = [150, 300, 500];

    /// <summary>The model's two sections.</summary>
    public static IReadOnlyList<Section> Sections(double cornerHz, double sampleRateHz) =>
        SectionDesign.HighPass(cornerHz, SlopeDbPerOctave, Alignment.Butterworth, sampleRateHz);
}
