namespace RenderGraph.Nodes.Measures.Stems;

/// <summary>What one walk over a stem's samples tells. Amplitudes are linear, full scale being 1.</summary>
/// <param name="Frames">Frames of the stem that lie in the song.</param>
/// <param name="PeakAmplitude">Largest absolute sample.</param>
/// <param name="MeanPower">Mean square, averaged over the channels.</param>
/// <param name="DcAmplitude">Mean of the samples; of two channels the one further from 0.</param>
/// <param name="LeftRightCorrelation">From -1, one side upside down, to 1, both alike; null for mono or silence.</param>
/// <param name="FirstSoundFrame">The song's first frame above -80 dBFS; null if there is none.</param>
/// <param name="LastSoundFrame">The last one.</param>
/// <param name="ClippedPlaces">How often five or more samples in a row lie at full scale.</param>
/// <param name="FirstClippedFrame">Where that happens first.</param>
public sealed record StemFacts(
    long Frames, double PeakAmplitude, double MeanPower, double DcAmplitude, double? LeftRightCorrelation, long? FirstSoundFrame, long? LastSoundFrame,
    long ClippedPlaces, long? FirstClippedFrame)
{
    /// <summary>Below this level there is silence: -80 dBFS.</summary>
    public const double SilenceAmplitude = 1e-4;

    /// <summary>Whether nothing in it rises above -80 dBFS.</summary>
    public bool IsSilent => FirstSoundFrame is null;
}
