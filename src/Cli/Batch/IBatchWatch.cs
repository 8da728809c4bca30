using RenderGraph.Graph.Rendering;

namespace RenderGraph.Cli.Batch;

/// <summary>Whoever watches a batch. Called from the workers, several at a time.</summary>
internal interface IBatchWatch
{
    /// <summary>A song is begun.</summary>
    void Begin(Song song);

    /// <summary>How far it has come.</summary>
    void Progress(Song song, RenderProgress progress);

    /// <summary>It is done with.</summary>
    /// <param name="wasThere">It was rendered before, and nothing had changed.</param>
    void End(Song song, SongResult result, bool wasThere);
}
