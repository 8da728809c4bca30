namespace RenderGraph.Graph.Document;

/// <summary>What a stem's place in the song counts from.</summary>
public enum AlignBy
{
    /// <summary>The song's start.</summary>
    Start,

    /// <summary>Its recorder's clock, as the file tells it (the time reference of Broadcast Wave); the earliest of all stems is the song's start.</summary>
    TimeReference,
}
