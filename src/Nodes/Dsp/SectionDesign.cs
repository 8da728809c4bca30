namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// Filter sections from the mix engineer's numbers. Responses equal those of the W3C note "Audio EQ Cookbook" (R. Bristow-Johnson): the bilinear
/// transform with the corner pre-warped, so that the frequency asked for is met exactly. Frequencies lie above 0 and below half the sample rate.
/// </summary>
public static class SectionDesign
{
    /// <summary>The slopes of a low-pass or high-pass: 6 dB an octave for each order from 1 to 8.</summary>
    public static IReadOnlyList<double> SlopesDbPerOctave { get; } = [6, 12, 18, 24, 30, 36, 42, 48];

    /// <summary>Whether a slope exists in that alignment: Linkwitz-Riley has even orders only.</summary>
    public static bool Exists(Alignment alignment, double slopeDbPerOctave) =>
        alignment == Alignment.Butterworth || Order(slopeDbPerOctave) % 2 == 0;

    /// <summary>A low-pass of any slope, least resonant section first.</summary>
    public static Section[] LowPass(double frequencyHz, double slopeDbPerOctave, Alignment alignment, double sampleRateHz) =>
        Cascade(
            slopeDbPerOctave, alignment, LowPassFirstOrder(frequencyHz, sampleRateHz),
            q => LowPass(frequencyHz, q, sampleRateHz));

    /// <summary>A high-pass of any slope, least resonant section first.</summary>
    public static Section[] HighPass(double frequencyHz, double slopeDbPerOctave, Alignment alignment, double sampleRateHz) =>
        Cascade(
            slopeDbPerOctave, alignment, HighPassFirstOrder(frequencyHz, sampleRateHz),
            q => HighPass(frequencyHz, q, sampleRateHz));

    /// <summary>1 / (s^2 + s/Q + 1).</summary>
    public static Section LowPass(double frequencyHz, double q, double sampleRateHz) =>
        SecondOrder(Warped(frequencyHz, sampleRateHz), 1 / q, direct: 0, band: 0, low: 1);

    /// <summary>s^2 / (s^2 + s/Q + 1).</summary>
    public static Section HighPass(double frequencyHz, double q, double sampleRateHz) =>
        SecondOrder(Warped(frequencyHz, sampleRateHz), 1 / q, direct: 1, band: -1 / q, low: -1);

    /// <summary>(s/Q) / (s^2 + s/Q + 1): 0 dB and no phase shift at its centre.</summary>
    public static Section BandPass(double frequencyHz, double q, double sampleRateHz) =>
        SecondOrder(Warped(frequencyHz, sampleRateHz), 1 / q, direct: 0, band: 1 / q, low: 0);

    /// <summary>(s^2 + 1) / (s^2 + s/Q + 1).</summary>
    public static Section Notch(double frequencyHz, double q, double sampleRateHz) =>
        SecondOrder(Warped(frequencyHz, sampleRateHz), 1 / q, direct: 1, band: -1 / q, low: 0);

    /// <summary>(s^2 + sA/Q + 1) / (s^2 + s/(AQ) + 1), A^2 the gain: a boost and a cut by as much cancel. 0 dB changes no bit.</summary>
    public static Section Bell(double frequencyHz, double q, double gainDb, double sampleRateHz)
    {
        var rootGain = Decibels.ToAmplitude(gainDb / 2);
        var damping = 1 / (q * rootGain);
        return SecondOrder(
            Warped(frequencyHz, sampleRateHz), damping, direct: 1, band: damping * ((rootGain * rootGain) - 1), low: 0);
    }

    /// <summary>A(s^2 + s sqrt(A)/Q + A) / (A s^2 + s sqrt(A)/Q + 1), A^2 the gain, reached by half at the corner. 0 dB changes no bit.</summary>
    public static Section LowShelf(double frequencyHz, double q, double gainDb, double sampleRateHz)
    {
        var rootGain = Decibels.ToAmplitude(gainDb / 2);
        return SecondOrder(
            Warped(frequencyHz, sampleRateHz) / Math.Sqrt(rootGain), 1 / q,
            direct: 1, band: (rootGain - 1) / q, low: (rootGain * rootGain) - 1);
    }

    /// <summary>A(A s^2 + s sqrt(A)/Q + 1) / (s^2 + s sqrt(A)/Q + A), A^2 the gain, reached by half at the corner. 0 dB changes no bit.</summary>
    public static Section HighShelf(double frequencyHz, double q, double gainDb, double sampleRateHz)
    {
        var rootGain = Decibels.ToAmplitude(gainDb / 2);
        return SecondOrder(
            Warped(frequencyHz, sampleRateHz) * Math.Sqrt(rootGain), 1 / q,
            direct: rootGain * rootGain, band: (1 - rootGain) * rootGain / q, low: 1 - (rootGain * rootGain));
    }

    /// <summary>1 / (s + 1).</summary>
    public static Section LowPassFirstOrder(double frequencyHz, double sampleRateHz) =>
        FirstOrder(Warped(frequencyHz, sampleRateHz), direct: 0, low: 1);

    /// <summary>s / (s + 1).</summary>
    public static Section HighPassFirstOrder(double frequencyHz, double sampleRateHz) =>
        FirstOrder(Warped(frequencyHz, sampleRateHz), direct: 1, low: -1);

    private static int Order(double slopeDbPerOctave) => (int)Math.Round(slopeDbPerOctave / 6);

    private static Section[] Cascade(double slopeDbPerOctave, Alignment alignment, Section firstOrder, Func<double, Section> secondOrder)
    {
        if (!Exists(alignment, slopeDbPerOctave))
            throw new ArgumentOutOfRangeException(nameof(slopeDbPerOctave), slopeDbPerOctave, "Linkwitz-Riley has 12, 24, 36 and 48 dB an octave only.");

        var order = alignment == Alignment.Butterworth ? Order(slopeDbPerOctave) : Order(slopeDbPerOctave) / 2;
        var sections = new List<Section>();
        if (order % 2 == 1)
            sections.Add(firstOrder);
        for (var pair = (order / 2) - 1; pair >= 0; pair--)
        {
            // The poles of a Butterworth filter lie evenly on a half circle.
            sections.Add(secondOrder(1 / (2 * PortableMath.Sin(Math.PI * ((2 * pair) + 1) / (2 * order)))));
        }

        return alignment == Alignment.Butterworth ? [.. sections] : [.. sections, .. sections];
    }

    private static double Warped(double frequencyHz, double sampleRateHz) => PortableMath.Tan(Math.PI * frequencyHz / sampleRateHz);

    /// <summary>(direct (s^2 + ds + 1) + band s + low) / (s^2 + ds + 1), d the damping, s counted from the corner.</summary>
    public static Section SecondOrder(double frequencyHz, double damping, double direct, double band, double low, double sampleRateHz) =>
        SecondOrder(Warped(frequencyHz, sampleRateHz), damping, direct, band, low);

    private static Section SecondOrder(double warped, double damping, double direct, double band, double low)
    {
        var drive = 2 * warped / (1 + (warped * (warped + damping)));
        return Section.Of(drive, drive * (warped + damping), drive * warped, direct, band, low);
    }

    private static Section FirstOrder(double warped, double direct, double low) =>
        Section.Of(0, 0, 2 * warped / (1 + warped), direct, 0, low);
}
