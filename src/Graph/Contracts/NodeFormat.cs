namespace RenderGraph.Graph.Contracts;

/// <summary>What a node is prepared for.</summary>
/// <param name="SampleRateHz">Frames a second, 8,000 to 384,000.</param>
/// <param name="Inputs">One entry for each input, in the order in which a <see cref="Block"/> brings them.</param>
/// <param name="OutputChannels">1 or 2: as many as the widest signal that will be heard. A mono signal enters a stereo sum on both sides at unity.</param>
/// <param name="MaxBlockFrames">No block is longer.</param>
public sealed record NodeFormat(int SampleRateHz, IReadOnlyList<InputFormat> Inputs, int OutputChannels, int MaxBlockFrames);

/// <summary>One input of a node.</summary>
/// <param name="Channels">1 or 2.</param>
/// <param name="GainDb">Asked for on this connection; other than 0 only on a port that takes many.</param>
/// <param name="LatencyFrames">How far it lies behind the stems: a frame's place in the song is its place in the render less this, and negative before the song begins.</param>
public readonly record struct InputFormat(int Channels, double GainDb = 0, int LatencyFrames = 0);
