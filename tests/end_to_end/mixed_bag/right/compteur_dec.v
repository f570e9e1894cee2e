// Compteur décimal avec retenue
module compteur_dec (
    input  wire       horloge,
    input  wire       raz_n,
    input  wire       valid,
    output reg  [3:0] q,
    output wire       retenue
);
    assign retenue = valid & (q == 4'd9);
    always @(posedge horloge)
        if (~raz_n)
            q <= 4'd0;
        else if (valid)
            q <= retenue ? 4'd0 : q + 4'd1;
endmodule
