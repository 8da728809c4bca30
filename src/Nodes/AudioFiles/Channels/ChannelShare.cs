namespace RenderGraph.Nodes.AudioFiles.Channels;

/// <summary>How much of one of a file's channels goes into one of a stem's.</summary>
/// <param name="Channel">Of the file, from 0.</param>
/// <param name="Amplitude">1 leaves it as it is, bit for bit.</param>
internal readonly record struct ChannelShare(int Channel, double Amplitude);
