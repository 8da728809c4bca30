namespace RenderGraph.Nodes.Dynamics;

/// <summary>
/// The control steps of a keyed cut: 16 frames each, counted from frame 0 of the song, so that where a block begins changes nothing.
/// </summary>
internal static class ControlGrid
{
    /// <summary>Frames in a step: 0.33 ms at 48 kHz.</summary>
    public const int StepFrames = 16;

    // A time that is whole steps but for rounding is whole steps.
    private const double Slack = 1e-9;

    /// <summary>Where in its step a frame of the song lies, 0 to 15; before the song begins too.</summary>
    public static int PlaceOf(long songFrame) => (int)(songFrame & (StepFrames - 1));

    /// <summary>How many steps a time is.</summary>
    public static double Steps(double milliseconds, int sampleRateHz) => milliseconds * sampleRateHz / (1000.0 * StepFrames);

    /// <summary>Whole steps that fit into a time.</summary>
    public static int StepsWithin(double milliseconds, int sampleRateHz) => (int)Math.Floor(Steps(milliseconds, sampleRateHz) + Slack);

    /// <summary>Whole steps that a time fits into.</summary>
    public static int StepsAround(double milliseconds, int sampleRateHz) => (int)Math.Ceiling(Steps(milliseconds, sampleRateHz) - Slack);
}
