// does: a constant function that never returns
// named: does not compile
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    function integer f(input integer x); begin while (1) x = x + 1; f = x; end endfunction
    localparam N = f(1);
endmodule
